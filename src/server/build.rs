//! A new migration or a changed static file alone must rebuild the crate.

fn main() {
    println!("cargo:rerun-if-changed=../../migrations");
    println!("cargo:rerun-if-changed=../../static");
}
