//! A barn with the same ids as another: clients make ids, so nothing may be told by an id alone. What is found or
//! changed without its barn's id is found or changed in both.
use super::store::{Column, Store};
use super::yard::{Yard, nobody};

/// What every text of the twin says in place of the barn's own canary.
pub const CANARY: &str = "canary-t";

/// It sorts before every id of our time, so a look-up that forgets the barn finds the twin first.
pub const BARN: &str = "00000000-0000-7000-8000-00000000000b";

/// How much later the twin's sessions are, in seconds: when the harness is about to book.
const AHEAD: i64 = (3 * 24 + 7) * 3600;

/// Copies the barn row by row. The twin is nobody's, newer by seven seconds and a hundred versions.
pub fn make(store: &mut Store, yard: &Yard) {
    let (barn, twin) = (yard.world.barn_id.clone(), store.id(BARN));
    let here = format!("barn_id = {}", store.id(&barn));
    let whole = {
        let later = |column: &Column, seconds| Some(store.later(&column.name, seconds));
        let [at, ahead] = [7, AHEAD];
        let texts = |name: &str| {
            let ours = format!("replace(\"{name}\", '{}', '{CANARY}')", yard.canary);
            Some(format!("replace({ours}, '{barn}', '{BARN}')"))
        };
        move |column: &Column| match column.name.as_str() {
            "barn_id" => Some(twin.clone()),
            "account_id" => Some("NULL".to_owned()),
            "created_at" => later(column, at),
            "starts_at" | "ends_at" => later(column, ahead),
            "version" => Some("version + 100".to_owned()),
            name if column.is_text() => texts(name),
            _ => None,
        }
    };
    let statements = store.copying(&[], &here, &whole);
    store.unchecked(&statements);
    crossed(store, yard);
}

/// In the twin, those who stand to the near horse and minor stand to the far ones too; and it has stored answers
/// that are due to be let go of.
fn crossed(store: &mut Store, yard: &Yard) {
    let (twin, fresh) = (store.id(BARN), store.id(&nobody()));
    let of = |place: &super::yard::Place, line: &str, name: &str| store.id(place.id(line, name).unwrap());
    let horses = (of(&yard.near, "", "horse_id"), of(&yard.far, "", "horse_id"));
    let minors = (of(&yard.near, "/guardians", "person_id"), of(&yard.far, "/guardians", "person_id"));
    let of_horse = |column: &Column| match column.name.as_str() {
        "id" => Some(fresh.clone()),
        "horse_id" => Some(horses.1.clone()),
        _ => None,
    };
    let of_minor = |column: &Column| (column.name == "minor_id").then(|| minors.1.clone());
    let old = |column: &Column| match column.name.as_str() {
        "key" => Some("key || '-old'".to_owned()),
        "created_at" => Some(store.later("created_at", -2 * 24 * 3600)),
        _ => None,
    };
    let near = format!("barn_id = {twin} AND horse_id = {}", horses.0);
    let statements = [
        store.copying(&["ownership", "pairing"], &near, &of_horse),
        store.copying(&["guardian"], &format!("barn_id = {twin} AND minor_id = {}", minors.0), &of_minor),
        store.copying(&["barn_answer"], &format!("barn_id = {twin}"), &old),
    ];
    store.unchecked(&statements.concat());
}
