//! `/api/v1` as other programs meet it: the contract judged by a validator that knows nothing of us,
//! requests made from it by one that tries what it allows and what it forbids, and the README's own.

use crate::scratch::Scratch;
use crate::shop::{Database, Shop};
use crate::web::{Visitor, curl, hidden};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const SCOPES: [&str; 9] = [
    "machines-read",
    "machines-write",
    "jobs-read",
    "jobs-write",
    "reporters-read",
    "due-read",
    "meters-read",
    "meters-write",
    "figure-read",
];

/// A token that the demo's keeper makes.
fn token(folder: &Path, shop: &Shop, name: &str) -> String {
    let keeper = Visitor::signed_in(folder, &shop.url, "wren");
    let page = keeper.get("/shop/integrations");
    let csrf = hidden(&page.body, "csrf");
    let mut fields = vec![
        format!("csrf={csrf}"),
        format!("name={name}"),
        "role=supervisor".to_owned(),
        "a_minute=60000".to_owned(),
    ];
    let (_, day) = page.body.split_once("name=\"expires_on\"").expect("a day");
    let day = day
        .split("value=\"")
        .nth(1)
        .and_then(|d| d.split('"').next());
    fields.push(format!("expires_on={}", day.expect("a usual last day")));
    fields.extend(SCOPES.iter().map(|scope| format!("scope-{scope}=yes")));
    let made = keeper.post("/shop/integrations", &fields);
    let (_, token) = made.body.split_once("id=\"token\">").expect("a token");
    token.split('<').next().expect("its end").to_owned()
}

fn tool(name: &str) -> PathBuf {
    let python = std::env::var("BRASSTAG_TEST_PYTHON")
        .expect("BRASSTAG_TEST_PYTHON names a Python with tests/python-tools.txt");
    Path::new(&python).with_file_name(name)
}

/// Runs a tool; what it said where it fails.
fn passes(mut command: Command) -> Result<String, String> {
    let out = command
        .stdin(Stdio::null())
        .output()
        .expect("the tool starts");
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    if out.status.success() {
        return Ok(said);
    }
    Err(format!("{said}\n{}", String::from_utf8_lossy(&out.stderr)))
}

/// Requests of each operation, as many as `BRASSTAG_FUZZ` says.
fn fuzz(folder: &Path, shop: &Shop, name: &str) {
    let examples = std::env::var("BRASSTAG_FUZZ").unwrap_or_else(|_| "12".to_owned());
    let token = token(folder, shop, name);
    let mut run = Command::new(tool("schemathesis"));
    run.current_dir(folder)
        .arg("run")
        .arg(format!("{}/api/v1/openapi.json", shop.url))
        .args(["--url", &format!("{}/api/v1", shop.url)])
        .args(["--header", &format!("Authorization: Bearer {token}")])
        .args(["--phases", "examples,coverage,fuzzing"])
        .args(["--max-examples", &examples, "--seed", "17", "--no-shrink"])
        .args(["--generation-database", "none", "--warnings", "off"])
        // A body that fits the contract may still be refused by the shop's own rules.
        .args(["--exclude-checks", "positive_data_acceptance"])
        .args(["--continue-on-failure", "--no-color"]);
    if let Err(said) = passes(run) {
        panic!("{said}\n{}", shop.log());
    }
}

#[test]
fn the_contract_is_valid_and_the_program_keeps_to_it() {
    let folder = Scratch::new("api");
    let shop = Shop::start(folder.path(), "demo", &[]);
    let contract = curl(&[&format!("{}/api/v1/openapi.json", shop.url)]);
    let file = folder.path().join("openapi.json");
    std::fs::write(&file, &contract.body).expect("a file");
    let mut judged = Command::new(tool("openapi-spec-validator"));
    judged.args(["--schema", "3.1"]).arg(&file);
    if let Err(said) = passes(judged) {
        panic!("{said}");
    }
    fuzz(folder.path(), &shop, "Prober");
}

#[test]
fn the_program_keeps_to_its_contract_on_postgresql() {
    let folder = Scratch::new("api-pg");
    let database = Database::with_demo(folder.path());
    let settings = [("BRASSTAG_DATABASE_URL", database.url.as_str())];
    let shop = Shop::start(folder.path(), "serve", &settings);
    fuzz(folder.path(), &shop, "Prober");
}

#[test]
fn the_readme_says_how() {
    let folder = Scratch::new("api-readme");
    let shop = Shop::start(folder.path(), "demo", &[]);
    let readme = include_str!("../../README.md");
    let (_, section) = readme
        .split_once("## For other programs")
        .expect("the section");
    let (_, script) = section.split_once("```sh\n").expect("an example");
    let (script, _) = script.split_once("```").expect("its end");
    assert!(script.matches("curl").count() >= 4, "{script}");
    let mut run = Command::new("bash");
    run.args(["-euo", "pipefail", "-c", script])
        .env("BRASSTAG", &shop.url)
        .env("TOKEN", token(folder.path(), &shop, "Reader"));
    let said = passes(run).unwrap_or_else(|said| panic!("{said}"));
    for expected in ["next_cursor", "No flow at the grille", "Kiln hall"] {
        assert!(said.contains(expected), "{expected}: {said}");
    }
}
