//! Random input for whatever reads what people send: files, typed numbers with units, figures and
//! whole form bodies. A few seconds in every run; `BRASSTAG_FUZZ_SECONDS=300` gives each reader that
//! long, from another beginning each time, which the output names.

use super::matrix::listed;
use super::{address, filled, routes, word};
use axum::body::Body;
use axum::http::{Request, header};
use brasstag::exchange::reading;
use brasstag::measure;
use brasstag::shop::Units;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use serde_json::{Map, Value};
use std::time::{Duration, Instant};

/// One input may take this long; the whole machine may be busy with other tests.
const BOUND: Duration = Duration::from_secs(10);

fn seconds() -> Option<u64> {
    std::env::var("BRASSTAG_FUZZ_SECONDS").ok()?.parse().ok()
}

/// Where inputs come from, and until when.
struct Source {
    runner: TestRunner,
    until: Instant,
    tried: u64,
    what: &'static str,
}

impl Source {
    fn of(what: &'static str) -> Source {
        let long = seconds();
        let mut seed = [7_u8; 32];
        if long.is_some() {
            getrandom::fill(&mut seed).expect("random bytes");
            println!("{what}: begins with {seed:?}");
        }
        Source {
            runner: TestRunner::new_with_rng(
                Config::default(),
                TestRng::from_seed(RngAlgorithm::ChaCha, &seed),
            ),
            until: Instant::now() + Duration::from_secs(long.unwrap_or(2)),
            tried: 0,
            what,
        }
    }

    fn next<T: std::fmt::Debug>(&mut self, strategy: &impl Strategy<Value = T>) -> Option<T> {
        if Instant::now() >= self.until {
            println!("{}: {} inputs", self.what, self.tried);
            assert!(self.tried > 20, "{}: {} inputs", self.what, self.tried);
            return None;
        }
        self.tried += 1;
        Some(
            strategy
                .new_tree(&mut self.runner)
                .expect("a value")
                .current(),
        )
    }
}

/// Within the time, whatever comes out.
fn bounded<T>(input: &impl std::fmt::Debug, run: impl FnOnce() -> T) -> T {
    let from = Instant::now();
    let out = run();
    assert!(from.elapsed() < BOUND, "{:?} for {input:?}", from.elapsed());
    out
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        ".{0,60}",
        "[-+0-9., /eE]{0,24}( ?(HP|kW|W|in|ft|mm|V|A|rpm|Hz|°C|\"|'))?",
        "[=+@\\-\"',;\t\r\n|\\\\<>&%{}\\[\\]()0-9A-Za-z]{0,200}",
        "[\\p{L}\\p{M}\\p{N}\\p{Zs}\\p{C}]{0,40}",
    ]
}

#[test]
fn whatever_a_file_holds_the_reader_answers() {
    let mut source = Source::of("files");
    let row = prop::collection::vec(text(), 0..12);
    let csv = prop::collection::vec(row, 0..30).prop_map(|rows| {
        let rows = rows.iter().map(|row| row.join(","));
        rows.collect::<Vec<_>>().join("\n").into_bytes()
    });
    let zip = prop::collection::vec(any::<u8>(), 0..600).prop_map(|mut rest| {
        let mut bytes = b"PK\x03\x04".to_vec();
        bytes.append(&mut rest);
        bytes
    });
    let any = prop_oneof![csv, prop::collection::vec(any::<u8>(), 0..2_000), zip];
    while let Some(bytes) = source.next(&any) {
        let _answer = bounded(&bytes, || reading::read(&bytes));
    }
}

#[test]
fn whatever_is_typed_for_a_number_is_read_or_refused() {
    let mut source = Source::of("numbers");
    let text = text();
    while let Some(typed) = source.next(&text) {
        bounded(&typed, || {
            for units in [Units::Us, Units::Si] {
                let finite = |value: f64| assert!(value.is_finite(), "{typed:?}");
                if let Ok(power) = measure::power(&typed, units) {
                    finite(power.0);
                }
                if let Ok(length) = measure::length(&typed, units) {
                    finite(length.0);
                }
                if let Ok(distance) = measure::distance(&typed, units) {
                    finite(distance.0);
                }
            }
            let _number = measure::number(&typed);
            let _warmth = measure::celsius(&typed);
            let _amounts = measure::amounts(&typed, &["A", "V"], "x");
            let _decimal = brasstag::form::optional_decimal(&typed);
        });
    }
}

fn json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        (-1_000_i64..100_000).prop_map(Value::from),
        text().prop_map(Value::from),
    ];
    leaf.prop_recursive(3, 24, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::vec((text(), inner), 0..6)
                .prop_map(|all| Value::Object(all.into_iter().collect::<Map<_, _>>())),
        ]
    })
}

#[test]
fn whatever_a_figure_is_given_it_answers_or_says_why_not() {
    let mut source = Source::of("figures");
    let topics: Vec<_> = calc::figure::topics().collect();
    let values = prop::collection::vec((json(), 0_u8..4), 40);
    let which = any::<prop::sample::Index>();
    let any = (which, values);
    while let Some((which, values)) = source.next(&any) {
        let topic = which.get(&topics);
        // Most fields by their own names, with anything in them.
        let fields: Map<String, Value> = topic
            .wants
            .iter()
            .zip(values)
            .filter(|(_, (_, left_out))| *left_out > 0)
            .map(|(want, (value, _))| (want.name.to_owned(), value))
            .collect();
        let input = Value::Object(fields);
        let _answer = bounded(&(topic.name, &input), || calc::figure::run(topic, &input));
    }
}

#[tokio::test]
async fn whatever_body_comes_every_route_answers_without_breaking() {
    let app = filled().await;
    let mut source = Source::of("bodies");
    let ends = [
        "/sign-out",
        "/close",
        "/password",
        "/sessions",
        "/tablet/change",
        "/shop/backups",
    ];
    let who = listed();
    let posts: Vec<String> = routes()
        .into_iter()
        .filter(|route| route.posts && !ends.iter().any(|end| route.path.ends_with(end)))
        .filter(|route| {
            who.get(&format!("POST {}", route.path))
                .is_none_or(|who| who.contains('u'))
        })
        .map(|route| address(&route.path, "3", "2"))
        .collect();
    let names = "(entry|seen|version|id|name|tag|text|words|value|on|at|kind|state|[a-z_]{1,12})";
    let fields = prop::collection::vec((names, text()), 0..12);
    let raw = prop::collection::vec(any::<u8>(), 0..400);
    let any = (any::<prop::sample::Index>(), fields, raw, 0_u8..5);
    let mut visit = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
    while let Some((which, fields, raw, form)) = source.next(&any) {
        let path = which.get(&posts);
        let mut csrf = word(&visit).await;
        if visit.get("/desk").await.status.is_redirection() {
            visit = app.sign_in_with("maren", brasstag::demo::PASSWORD).await;
            csrf = word(&visit).await;
        }
        let (kind, body) = match form {
            0 => {
                let head = format!(
                    "--b\r\ncontent-disposition: form-data; name=\"csrf\"\r\n\r\n{csrf}\r\n--b\r\n"
                );
                (
                    "multipart/form-data; boundary=b",
                    [head.into_bytes(), raw].concat(),
                )
            }
            1 => (
                "application/x-www-form-urlencoded",
                [format!("csrf={csrf}&").into_bytes(), raw].concat(),
            ),
            _ => {
                let mut all = vec![("csrf".to_owned(), csrf)];
                all.extend(fields);
                (
                    "application/x-www-form-urlencoded",
                    serde_html_form::to_string(all)
                        .expect("a form")
                        .into_bytes(),
                )
            }
        };
        let request = Request::post(path.as_str())
            .header(header::COOKIE, visit.cookie())
            .header(header::CONTENT_TYPE, kind)
            .body(Body::from(body.clone()))
            .expect("a request");
        let from = Instant::now();
        let answer = visit.send(request).await;
        let said = String::from_utf8_lossy(&body);
        assert!(
            !answer.status.is_server_error(),
            "{path}: {} for {kind} {said:?}",
            answer.status
        );
        assert!(
            from.elapsed() < BOUND,
            "{path}: {:?} for {said:?}",
            from.elapsed()
        );
    }
}
