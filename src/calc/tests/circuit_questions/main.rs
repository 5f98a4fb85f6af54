//! Questions as people put them to the topics of the circuit, with the answer a careful colleague gives.

mod drop;
mod loads;
mod motors;

use calc::figure;
use serde_json::Value;

fn ask(topic: &str, input: Value) -> Value {
    run(topic, &input).unwrap_or_else(|why| panic!("{topic} {input}: {why}"))
}

fn run(topic: &str, input: &Value) -> Result<Value, figure::Trouble> {
    figure::run(figure::find(topic).expect("a topic"), input)
}

fn refused(topic: &str, input: Value) -> figure::Trouble {
    match run(topic, &input) {
        Ok(got) => panic!("{topic} {input} answers {got}"),
        Err(trouble) => trouble,
    }
}

fn near(got: &Value, want: f64) {
    let figure = got.as_f64().unwrap_or_else(|| panic!("no figure: {got}"));
    assert!((figure - want).abs() < 0.005, "want {want}, got {figure}");
}

fn verdict(got: &Value) -> &str {
    got["working"]["verdict"].as_str().unwrap_or("none")
}

fn says(got: &Value, words: &str) {
    let working = got["working"].to_string();
    assert!(working.contains(words), "{words:?} is not in {working}");
}
