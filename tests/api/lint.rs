//! Rules that the compiler does not know: of the source, and of the tables.
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_owned()
}

/// Every file of the source under a folder with one of these endings.
fn files(folder: &str, endings: &[&str]) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() && name != "target" && name != ".git" && name != "data" {
                folders.push(path);
            } else if endings.iter().any(|ending| name.ends_with(ending)) {
                let shown = path.strip_prefix(root()).unwrap().to_string_lossy().into_owned();
                found.push((shown, fs::read_to_string(&path).unwrap()));
            }
        }
    }
    found.sort();
    assert!(!found.is_empty(), "nothing under {folder}");
    found
}

/// Lines of the files that break a rule, each as `file:line: text`.
fn lines(files: &[(String, String)], breaks: impl Fn(&str) -> bool) -> Vec<String> {
    let of_file = |(name, text): &(String, String)| {
        let numbered = text.lines().enumerate().filter(|(_, line)| breaks(line));
        numbered.map(|(n, line)| format!("{name}:{}: {}", n + 1, line.trim())).collect::<Vec<_>>()
    };
    files.iter().flat_map(of_file).collect()
}

fn assert_none(broken: Vec<String>, rule: &str) {
    assert!(broken.is_empty(), "{rule}:\n{}", broken.join("\n"));
}

#[test]
fn handlers_hold_no_queries() {
    let mut handlers = files("api/src", &[".rs"]);
    handlers.retain(|(name, _)| name.ends_with("handlers.rs") || name.contains("/handlers/"));
    assert!(handlers.len() > 1);
    // a handler's entity is found by rows.rs, and only says so in its types
    let asks = |line: &str| {
        let types = ["use diesel::QueryResult;", "diesel::QueryResult<", "use diesel::{QueryResult, Queryable};"];
        let rest = types.iter().fold(line.to_owned(), |rest, allowed| rest.replace(allowed, ""));
        rest.contains("diesel::") || rest.contains("on_each!") || rest.contains("db::schema")
    };
    assert!(asks("diesel::insert_into(horse::table)") && asks("use diesel::prelude::*;"));
    assert!(!asks("use diesel::QueryResult;"));
    assert_none(lines(&handlers, asks), "a handler asks the database itself; queries live in rows.rs");
}

/// Row-level security holds for what goes through `Db::read` and `Db::write`, not for the owner's connection.
#[test]
fn only_migrations_and_proofs_take_the_owners_connection() {
    let mut sources = files("api/src", &[".rs"]);
    sources.retain(|(name, _)| {
        !["api/src/db/", "api/src/health/"].iter().any(|folder| name.starts_with(folder)) && name != "api/src/config.rs"
    });
    let takes = |line: &str| line.contains("db.conn()") || line.contains("Db::open(");
    assert!(takes("work(&mut app.db.conn()?)"));
    assert_none(lines(&sources, takes), "a request goes through Db::read or Db::write");
}

#[test]
fn no_file_is_longer_than_400_lines() {
    let mut sources = files(".", &[".rs", ".py"]);
    sources.retain(|(name, _)| name != "api/src/db/schema.rs");
    let long = sources.iter().map(|(name, text)| (name, text.lines().count())).filter(|(_, count)| *count > 400);
    assert_none(long.map(|(name, count)| format!("{name}: {count} lines")).collect(), "split it by subject");
}

#[test]
fn both_databases_have_the_same_migrations() {
    let names = |database: &str| -> BTreeSet<String> {
        let all = files(&format!("migrations/{database}"), &[".sql"]).into_iter();
        all.map(|(name, text)| {
            assert!(!text.trim().is_empty(), "{name} is empty");
            name.split_once(database).unwrap().1.to_owned()
        })
        .collect()
    };
    let sqlite = names("sqlite");
    assert_eq!(sqlite, names("postgres"));
    for name in sqlite.iter().filter(|name| name.ends_with("/up.sql")) {
        assert!(sqlite.contains(&name.replace("/up.sql", "/down.sql")), "{name} has no way back");
    }
}

/// Words that promise what is not there, or ration what is not to be spent.
const FORBIDDEN: [&str; 7] = [
    concat!("TO", "DO"),
    concat!("FIX", "ME"),
    concat!("XX", "X:"),
    concat!("jumps", " left"),
    concat!("efforts", " left"),
    concat!("jumps", " remaining"),
    concat!("efforts", " remaining"),
];

#[test]
fn no_forbidden_words() {
    let says = |line: &str| FORBIDDEN.iter().any(|word| line.contains(word));
    assert!(says(&format!("// {}: later", FORBIDDEN[0])));
    let sources = files(".", &[".rs", ".sql", ".toml", ".md", ".py", ".html", ".css", ".js"]);
    assert_none(lines(&sources, says), "finish it, and say at most");
}
