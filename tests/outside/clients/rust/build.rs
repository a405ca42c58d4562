//! Generates the client from the document that OLDER_DOCUMENT names, one in OpenAPI 3.0.
use std::{env, fs, path::Path};

fn main() {
    println!("cargo::rerun-if-env-changed=OLDER_DOCUMENT");
    let document = env::var("OLDER_DOCUMENT").expect("OLDER_DOCUMENT names the document");
    println!("cargo::rerun-if-changed={document}");
    let text = fs::read_to_string(document).expect("the document");
    let document = serde_json::from_str(&text).expect("a document in OpenAPI 3.0");
    let mut settings = progenitor::GenerationSettings::default();
    settings.with_interface(progenitor::InterfaceStyle::Builder).with_derive("PartialEq");
    let tokens = progenitor::Generator::new(&settings).generate_tokens(&document).expect("a client");
    let client = prettyplease::unparse(&syn::parse2(tokens).expect("a client that is Rust"));
    let out = env::var("OUT_DIR").expect("where to put it");
    fs::write(Path::new(&out).join("client.rs"), client).expect("a file");
}
