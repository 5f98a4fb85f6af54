//! Mail to who reported: taken up, when somebody comes, done, or why not.

use crate::app::TestApp;
use crate::mail::shop;
use crate::mail_server::{Letter, MailServer};
use crate::small_shop::plan_and_hand_out;
use axum::http::StatusCode;
use brasstag::telling::mail::sending::pass;

/// A report on `F-1` from somebody who may be reached; its number and code.
async fn report(app: &TestApp, name: &str, contact: &str) -> (i64, String) {
    let fields = [
        ("tag", "F-1"),
        ("words", "It hums beside the glaze store"),
        ("reporter", name),
        ("contact", contact),
    ];
    let answer = app.visitor().submit("/report", "/report", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let (path, code) = answer.location.split_once("&code=").expect("a code");
    let number = path
        .trim_start_matches("/status/")
        .split('?')
        .next()
        .expect("a number");
    (number.parse().expect("a number"), code.to_owned())
}

async fn came(app: &TestApp, server: &MailServer) -> Vec<Letter> {
    pass(&app.state).await.expect("a pass");
    server.letters()
}

#[tokio::test]
async fn the_sender_hears_that_it_was_taken_up_and_when_somebody_comes_and_nothing_of_others() {
    let (app, server) = shop().await;
    let (job, code) = report(&app, "Anna Muster", "at 12, or anna@example.net").await;
    assert!(
        came(&app, &server).await.is_empty(),
        "the number was on the page"
    );
    plan_and_hand_out(&app, job).await;
    let letters = came(&app, &server).await;
    assert_eq!(letters.len(), 2);
    assert!(letters.iter().all(|letter| letter.to == "anna@example.net"));
    assert!(letters[0].words().contains("accepted and is planned"));
    assert!(
        letters[1]
            .words()
            .contains("come to look at it on Wed 25 Nov 2026")
    );
    for letter in &letters {
        assert_eq!(letter.header("Subject"), format!("Your report {job}"));
        let status = format!("http://shop.example/status/{job}?code={code}");
        assert!(letter.words().contains(&status), "{}", letter.text);
        for private in [
            "Find out",
            "The technician",
            "The supervisor",
            "Anna Muster",
            "hums",
        ] {
            assert!(!letter.text.contains(private), "{private}: {}", letter.text);
        }
    }
    // One click stops it for this report, also what waits already.
    let stop = letters[0].header("List-Unsubscribe");
    let stop = stop
        .trim_matches(['<', '>'])
        .replace("http://shop.example", "");
    let looked = app.visitor().get(&stop).await;
    assert!(
        looked.words().contains("about this report"),
        "{}",
        looked.body
    );
    app.run("UPDATE mails SET state = 'waits'").await;
    let stopped = app
        .visitor()
        .post(&stop, &[("List-Unsubscribe", "One-Click")])
        .await;
    assert!(stopped.words().contains("no more mail about this report"));
    assert!(came(&app, &server).await.is_empty());
    let (other, _) = report(&app, "Anna Muster", "anna@example.net").await;
    plan_and_hand_out(&app, other).await;
    assert_eq!(
        came(&app, &server).await.len(),
        2,
        "another report is another matter"
    );
}

#[tokio::test]
async fn a_refusal_is_told_with_its_reason_and_only_to_who_left_an_address() {
    let (app, server) = shop().await;
    let (job, _) = report(&app, "Anna", "anna@example.net\r\nBcc: all@example.net").await;
    let (silent, _) = report(&app, "Ben", "extension 12").await;
    let desk = app.sign_in("supervisor").await;
    for job in [job, silent] {
        let page = format!("/jobs/{job}/plan");
        let reason = [(
            "reason",
            "The fan is to be replaced in spring — see the notice",
        )];
        let refused = desk
            .submit(&page, &format!("/jobs/{job}/turn-down"), &reason)
            .await;
        assert_eq!(refused.status, StatusCode::SEE_OTHER, "{}", refused.body);
    }
    let letters = came(&app, &server).await;
    assert_eq!(letters.len(), 1);
    assert_eq!(letters[0].to, "anna@example.net");
    assert!(!letters[0].text.contains("Bcc"), "{}", letters[0].text);
    assert!(
        letters[0].words().contains("replaced in spring"),
        "{}",
        letters[0].text
    );
}

#[tokio::test]
async fn who_was_joined_to_another_hears_the_outcome_with_their_own_number() {
    let (app, server) = shop().await;
    let (first, first_code) = report(&app, "Anna", "anna@example.net").await;
    let (second, second_code) = report(&app, "Ben", "ben@example.net").await;
    let desk = app.sign_in("supervisor").await;
    let page = format!("/jobs/{second}/plan");
    let number = first.to_string();
    let joined = desk
        .submit(&page, &format!("/jobs/{second}/join"), &[("job", &number)])
        .await;
    assert_eq!(joined.status, StatusCode::SEE_OTHER, "{}", joined.body);
    let letters = came(&app, &server).await;
    assert_eq!(letters.len(), 1);
    assert_eq!(letters[0].to, "ben@example.net");
    assert!(letters[0].words().contains(&format!("as number {first}")));
    plan_and_hand_out(&app, first).await;
    let letters = came(&app, &server).await;
    let to = |who: &str| -> Vec<String> {
        let own = letters.iter().filter(|letter| letter.to == who);
        own.map(Letter::words).collect()
    };
    let (anna, ben) = (to("anna@example.net"), to("ben@example.net"));
    assert_eq!((anna.len(), ben.len()), (2, 2));
    assert!(
        anna.iter()
            .all(|words| words.contains(&first_code) && !words.contains(&second_code))
    );
    assert!(
        ben.iter()
            .all(|words| words.contains(&second_code) && !words.contains(&first_code))
    );
    assert!(
        ben[0].contains(&format!("joined to number {first}")),
        "{}",
        ben[0]
    );
}
