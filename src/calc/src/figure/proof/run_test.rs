use super::answer;
use crate::figure::{Figure, Given, Subject, Takes, Topic, Trouble, want};
pub(super) const PROOF: Topic = Topic {
    name: "proof",
    title: "",
    what: "",
    subject: Subject::Proof,
    wants: &[want("x", "", Takes::Text)],
    answers: &[answer("x", "", "")],
    run,
};
fn run(_: &Given) -> Result<Figure, Trouble> {
    Ok(Figure::default())
}
