//! The files of `deploy/` as the programs that read them judge them.

use std::path::{Path, PathBuf};
use std::process::Command;

fn deploy(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../deploy")
        .join(name)
}

/// systemd's own measure, 0 (nothing exposed) to 10: up to 2.0 reads "OK".
const MOST_EXPOSED: &str = "15";

#[test]
fn the_unit_exposes_little() {
    let judged = Command::new("systemd-analyze")
        .args(["security", "--offline=true", "--no-pager"])
        .arg(format!("--threshold={MOST_EXPOSED}"))
        .arg(deploy("brasstag.service"))
        .output()
        .expect("systemd-analyze starts");
    let table = String::from_utf8_lossy(&judged.stdout);
    assert!(judged.status.success(), "{table}");
    assert!(table.contains("Overall exposure level"), "{table}");
}

#[test]
fn the_unit_has_no_line_that_systemd_does_not_know() {
    let judged = Command::new("systemd-analyze")
        .args(["verify", "--recursive-errors=no"])
        .arg(deploy("brasstag.service"))
        .output()
        .expect("systemd-analyze starts");
    let words = String::from_utf8_lossy(&judged.stderr);
    let unknown: Vec<&str> = words
        .lines()
        .filter(|line| line.contains("brasstag.service"))
        // The program is not installed on the machine that runs the tests.
        .filter(|line| !line.contains("/usr/local/bin/brasstag"))
        .collect();
    assert!(unknown.is_empty(), "{words}");
}

#[test]
fn every_setting_of_the_samples_is_one_that_the_program_knows() {
    let help = Command::new(env!("CARGO_BIN_EXE_brasstag"))
        .arg("--help")
        .output()
        .expect("the program starts");
    let help = String::from_utf8_lossy(&help.stdout);
    let mut found = 0;
    for file in [
        "brasstag.service",
        "Containerfile",
        "compose.yaml",
        "OPERATIONS.md",
    ] {
        let text = std::fs::read_to_string(deploy(file)).expect(file);
        for (at, _) in text.match_indices("BRASSTAG_") {
            let name: String = text[at..]
                .chars()
                .take_while(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || *c == '_')
                .collect();
            // `BRASSTAG_…` and `BRASSTAG_LOG` (read by the log itself) stand for themselves.
            if name == "BRASSTAG_" || name == "BRASSTAG_LOG" {
                continue;
            }
            assert!(help.contains(&format!("[env: {name}=")), "{file}: {name}");
            found += 1;
        }
    }
    assert!(found > 10, "{found} settings");
}

#[test]
fn compose_names_only_what_is_there() {
    let python = std::env::var("BRASSTAG_TEST_PYTHON")
        .expect("BRASSTAG_TEST_PYTHON names a Python with PyYAML");
    let script = "import sys, yaml\n\
        c = yaml.safe_load(open(sys.argv[1]))\n\
        names = set(c['services'])\n\
        for n, s in c['services'].items():\n\
        \x20   for d in s.get('depends_on', []): assert d in names, d\n\
        \x20   for v in s.get('volumes', []):\n\
        \x20       v = v.split(':')[0]\n\
        \x20       assert v.startswith('.') or v in c['volumes'], v\n\
        \x20   for k in s.get('secrets', []): assert k in c['secrets'], k\n\
        \x20   for k in s.get('networks', []): assert k in c['networks'], k\n\
        assert c['services']['brasstag']['read_only'] is True\n\
        print(len(names))\n";
    let judged = Command::new(python)
        .args(["-c", script])
        .arg(deploy("compose.yaml"))
        .output()
        .expect("python starts");
    let (said, trouble) = (
        String::from_utf8_lossy(&judged.stdout),
        String::from_utf8_lossy(&judged.stderr),
    );
    assert_eq!(said.trim(), "3", "{trouble}");
}
