//! A disk that fills up under a running program, as a limit on the size of its files, which the system
//! enforces in the same place: the SQLite file cannot grow.

use crate::child::Running;
use crate::kill::http::{FORM, Person, form};
use crate::scratch::Scratch;
use crate::shop::free_port;
use std::path::Path;
use std::process::Command;

fn start(folder: &Path, port: u16, command: &str, most: &str) -> Running {
    // Without the signal the write itself fails, as it does on a full disk.
    let mut program = Command::new("env");
    program
        .args(["--ignore-signal=XFSZ", "prlimit"])
        .arg(format!("--fsize={most}:unlimited"))
        .arg(env!("CARGO_BIN_EXE_brasstag"))
        .arg(command)
        .env("BRASSTAG_FOLDER", folder)
        .env("BRASSTAG_LISTEN", format!("127.0.0.1:{port}"))
        .env("BRASSTAG_PASSWORD_COST", "test")
        .stderr(std::fs::File::create(folder.join("log")).expect("a log"));
    let listening = |line: &str| line.contains("Listening on ").then(String::new);
    Running::start(&mut program, listening).0
}

fn brasstag(folder: &Path, command: &str) -> (bool, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_brasstag"))
        .arg(command)
        .env("BRASSTAG_FOLDER", folder)
        .output()
        .expect("it starts");
    (
        out.status.success(),
        String::from_utf8_lossy(&out.stdout).into_owned(),
    )
}

#[test]
fn a_full_disk_is_told_with_what_was_typed_and_mends_itself_when_there_is_room() {
    let scratch = Scratch::new("full_disk");
    let folder = scratch.path();
    let port = free_port();
    drop(start(folder, port, "demo", "unlimited"));
    // Whoever closes the database last brings everything into its one file.
    let (good, said) = brasstag(folder, "check");
    assert!(good, "{said}");
    let file = folder.join("brasstag.sqlite");
    let size = std::fs::metadata(&file).expect("the database").len();
    let most = (size + 200_000).to_string();
    let server = start(folder, port, "serve", &most);
    let tobin = Person::sign_in(port, "tobin").expect("he signs in");
    let job = 1;
    let note = |number: usize| {
        let words = format!("full-{number}-{}", "dust and varnish ".repeat(100));
        let entry = uuid::Uuid::now_v7().to_string();
        let fields = [
            ("csrf", tobin.csrf.clone()),
            ("entry", entry.clone()),
            ("seen", "1".to_owned()),
            ("text", words),
        ];
        let path = format!("/jobs/{job}/note");
        let answer = tobin.post(&path, &form(&fields), FORM).expect("an answer");
        (answer, entry)
    };
    let mut taken = 0;
    let (refused, entry) = loop {
        let (answer, entry) = note(taken);
        if answer.status != 303 {
            break (answer, entry);
        }
        taken += 1;
        assert!(taken < 1000, "the disk never filled");
    };
    assert_eq!(refused.status, 503, "{}", refused.body);
    assert!(
        refused.body.contains("The disk is full"),
        "{}",
        refused.body
    );
    assert!(refused.body.contains(&format!("full-{taken}-")));
    assert!(refused.body.contains(&entry));
    assert_eq!(tobin.get("/healthz").expect("it lives").status, 200);

    let room = Command::new("prlimit")
        .args(["--pid", &server.id().to_string()])
        .arg("--fsize=unlimited:unlimited")
        .status();
    assert!(room.is_ok_and(|status| status.success()), "room is made");
    let (answer, _) = note(taken + 1);
    assert_eq!(answer.status, 303, "by itself: {}", answer.body);
    drop(server);
    let (good, said) = brasstag(folder, "check");
    assert!(good, "{said}");
    assert!(said.contains("good  references"), "{said}");
    assert!(said.contains("good  entries"), "{said}");
}
