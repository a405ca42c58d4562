//! The whole policy, printed to `golden/policy.txt` and compared with what is checked in.
//!
//! `UPDATE_GOLDEN=1 cargo test -p stridewright-core --test policy_table` writes it anew.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "test code")]

use std::fmt::Write;
use std::path::Path;
use stridewright_core::policy::{Action, Relation, Resource, Roles, Verdict, may};

fn table() -> String {
    let none = Roles::default();
    let roles = [
        ("stranger", none),
        ("trainer", Roles { trainer: true, ..none }),
        ("rider", Roles { rider: true, ..none }),
        ("owner", Roles { owner: true, ..none }),
        ("rail", Roles { rail: true, ..none }),
    ];
    let unrelated = Relation::default();
    let relations = [
        ("-", unrelated),
        ("own", Relation { own: true, ..unrelated }),
        ("owned", Relation { owned: true, ..unrelated }),
        ("paired", Relation { paired: true, ..unrelated }),
        ("open", Relation { open: true, ..unrelated }),
    ];
    let mut text = String::from("# A allowed, f forbidden (403), . hidden (404); columns: ");
    writeln!(text, "{:?}", Action::ALL).unwrap();
    for (role, held) in roles {
        for resource in Resource::ALL {
            for (name, relation) in relations {
                let row: String = Action::ALL
                    .iter()
                    .map(|action| match may(held, resource, *action, relation) {
                        Verdict::Allow => 'A',
                        Verdict::Forbid => 'f',
                        Verdict::Hide => '.',
                    })
                    .collect();
                writeln!(text, "{role:<9}{:<16}{name:<8}{row}", format!("{resource:?}")).unwrap();
            }
        }
    }
    text
}

#[test]
fn the_policy_is_the_one_that_was_agreed() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/policy.txt");
    let now = table();
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &now).unwrap();
    }
    let agreed = std::fs::read_to_string(&path).expect("golden/policy.txt");
    assert_eq!(agreed, now, "the policy changed: read the difference, then write the golden file anew");
}

#[test]
fn a_stranger_is_told_of_nothing() {
    for resource in Resource::ALL {
        for action in Action::ALL {
            assert_eq!(may(Roles::default(), resource, action, Relation::default()), Verdict::Hide);
        }
    }
}

#[test]
fn nobody_overrides_an_owner_or_a_stand_down() {
    let all = Roles { trainer: true, rider: true, owner: true, rail: false };
    let related = Relation { own: true, owned: true, paired: true, open: true };
    for resource in [Resource::OwnerLimit, Resource::VetLimit, Resource::HorseStandDown, Resource::RiderStandDown] {
        assert_eq!(may(all, resource, Action::Override, related), Verdict::Forbid);
    }
}
