//! The migrations are compiled in; without this a changed one would not be seen.
fn main() {
    println!("cargo::rerun-if-changed=../migrations");
}
