//! Access tokens that are not ours, altered, of another time or for something else.
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use diesel::prelude::*;
use jsonwebtoken::{Algorithm, EncodingKey, Header};
use stridewright_api::db::schema::{account, signing_key};
use stridewright_api::on_each;
use stridewright_api::state::Settings;
use stridewright_tests::barn::{PASSWORD, fresh_email, sign_in};
use stridewright_tests::server::{Database, Server};
use stridewright_tests::{Client, Value, World, json, on_both};

fn status(world: &World, token: &str) -> u16 {
    world.anonymous().with_token(token).get("/api/v1/me").status
}

fn part(token: &str, index: usize) -> Value {
    let text = token.split('.').nth(index).unwrap();
    serde_json::from_slice(&URL_SAFE_NO_PAD.decode(text).unwrap()).unwrap()
}

/// The token with some header fields changed, its signature as it was.
fn with_header(token: &str, change: Value) -> String {
    let mut header = part(token, 0);
    for (name, value) in change.as_object().unwrap() {
        header[name] = value.clone();
    }
    let rest = token.split_once('.').unwrap().1;
    format!("{}.{rest}", URL_SAFE_NO_PAD.encode(header.to_string()))
}

/// A token signed with the service's own key.
fn signed(world: &World, algorithm: Algorithm, typ: &str, claims: &Value) -> String {
    let (kid, secret): (String, String) = on_each!(&mut crate::ringside::conn(world), |c| signing_key::table
        .order(signing_key::created_at.desc())
        .select((signing_key::kid, signing_key::secret))
        .first(c))
    .unwrap();
    let header = Header { typ: Some(typ.to_owned()), kid: Some(kid), ..Header::new(algorithm) };
    let key = EncodingKey::from_secret(&URL_SAFE_NO_PAD.decode(secret).unwrap());
    jsonwebtoken::encode(&header, claims, &key).unwrap()
}

on_both! {
    fn nothing_but_our_own_token_is_taken(world) {
        let token = world.trainer.client.token.clone().unwrap();
        assert_eq!(status(world, &token), 200);
        assert_eq!(part(&token, 0)["alg"], json!("HS256"));
        for change in [json!({"alg": "none"}), json!({"alg": "RS256"}), json!({"alg": "HS512"}), json!({"kid": "other"}), json!({"typ": "JWT"})] {
            let forged = with_header(&token, change.clone());
            assert_eq!(status(world, &forged), 401, "{change}");
            let unsigned = format!("{}.", forged.rsplit_once('.').unwrap().0);
            assert_eq!(status(world, &unsigned), 401, "{change} unsigned");
        }
        let mut claims = part(&token, 1);
        claims["sub"] = json!("01890a5d-ac96-774b-bcce-b302099a8057");
        let parts: Vec<&str> = token.split('.').collect();
        let altered = format!("{}.{}.{}", parts[0], URL_SAFE_NO_PAD.encode(claims.to_string()), parts[2]);
        assert_eq!(status(world, &altered), 401);
        for bad in ["", "x", "a.b.c", "..", "rail_x"] {
            assert_eq!(status(world, bad), 401, "{bad}");
        }
    }

    fn what_it_says_must_fit_too(world) {
        let claims = part(world.trainer.client.token.as_ref().unwrap(), 1);
        let with = |field: &str, value: Value| {
            let mut changed = claims.clone();
            changed[field] = value;
            signed(world, Algorithm::HS256, "at+jwt", &changed)
        };
        // the key is the right one
        assert_eq!(status(world, &with("iat", claims["iat"].clone())), 200);
        let now = claims["iat"].as_i64().unwrap();
        for (field, value) in [
            ("aud", json!("somebody-else")),
            ("iss", json!("somebody-else")),
            ("exp", json!(now)),
            ("nbf", json!(now + 1)),
            ("sid", json!("01890a5d-ac96-774b-bcce-b302099a8057")),
            ("sub", json!("01890a5d-ac96-774b-bcce-b302099a8057")),
            ("aud", Value::Null),
        ] {
            assert_eq!(status(world, &with(field, value.clone())), 401, "{field} {value}");
        }
        assert_eq!(status(world, &signed(world, Algorithm::HS256, "JWT", &claims)), 401);
        assert_eq!(status(world, &signed(world, Algorithm::HS512, "at+jwt", &claims)), 401);
    }
}

/// The settings are the least that the OWASP Password Storage Cheat Sheet, section Argon2id, names.
#[test]
fn passwords_are_kept_as_argon2id_hashes() {
    let settings = Settings { requests_per_second: 0, ..Settings::default() };
    let server = Server::alone(Database::Sqlite, settings).unwrap();
    let email = fresh_email("mara");
    let body = json!({"email": email, "name": "Mara", "password": PASSWORD,
        "barn": {"name": "A", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"}});
    Client::new(&server.base).post("/api/v1/accounts", body).expect(201);
    let location = stridewright_api::db::pool::Location::parse(&server.url).unwrap();
    let mut conn = stridewright_api::db::pool::Db::open(&location).unwrap().conn().unwrap();
    let hash: String = on_each!(&mut conn, |c| account::table.select(account::password_hash).first(c)).unwrap();
    assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{hash}");
}

/// A key signs for 30 days; what it signed is still taken until it expires.
fn keys_take_turns(database: Database) {
    let Some(server) = Server::alone(database, stridewright_tests::server::settings()) else {
        return stridewright_tests::postgres::skipped();
    };
    let world = World::new(Box::leak(Box::new(server)));
    let token = || sign_in(&world.anonymous(), &world.trainer.email).member.client.token.unwrap();
    let first = part(world.trainer.token.as_ref().unwrap(), 0)["kid"].clone();
    world.server.clock.advance_seconds(30 * 24 * 3600 - 300);
    let last = token();
    assert_eq!(part(&last, 0)["kid"], first);
    world.server.clock.advance_seconds(600);
    let next = token();
    assert_ne!(part(&next, 0)["kid"], first);
    assert_eq!((status(&world, &last), status(&world, &next)), (200, 200));
    world.server.clock.advance_seconds(600);
    assert_eq!((status(&world, &last), status(&world, &next)), (401, 200));
}

#[test]
fn keys_take_turns_sqlite() {
    keys_take_turns(Database::Sqlite);
}

#[test]
fn keys_take_turns_postgres() {
    keys_take_turns(Database::Postgres);
}
