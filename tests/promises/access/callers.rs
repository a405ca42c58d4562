//! Who asks: by their part in the barn, and by credentials that do not hold.
use super::store::Store;
use super::yard::Yard;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use diesel::prelude::*;
use jsonwebtoken::{Algorithm, EncodingKey, Header};
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::schema::signing_key;
use stridewright_api::on_each;
use stridewright_tests::barn::{Member, PASSWORD, fresh_email, sign_in};
use stridewright_tests::client::fresh;
use stridewright_tests::{Value, json};

/// Credentials that do not hold, each with its name.
pub type Refused = Vec<(&'static str, Vec<String>)>;

/// Somebody of the barn who was removed from it: the account lives on.
pub fn removed(yard: &Yard) -> Member {
    let gone = yard.world.member(&["rider", "owner"]);
    let person = yard.world.at(&format!("people/{}", gone.person_id));
    let etag = yard.world.trainer.get(&person).etag();
    yard.world.trainer.delete(&person, &etag).expect(204);
    gone
}

/// A trainer of the other barn who came to ride here too.
pub fn of_both(here: &Yard, there: &Yard) -> Member {
    let member = there.world.member(&["trainer"]);
    let secret = here.world.trainer.post(&here.world.at("invitations"), json!({"name": "Robin", "roles": ["rider"]}));
    let invitation = secret.expect(201).text_of("secret");
    member.post("/api/v1/me/memberships", json!({"invitation": invitation})).expect(201);
    member
}

/// Every credential that must be answered like none: the values of the Authorization headers.
pub fn refused(yard: &Yard, store: &mut Store) -> Refused {
    let token = yard.world.trainer.client.token.clone().unwrap();
    let (header, claims) = (part(&token, 0), part(&token, 1));
    let parts: Vec<&str> = token.split('.').collect();
    let raw =
        |header: &Value, claims: &Value, signature: &str| format!("{}.{}.{signature}", coded(header), coded(claims));
    let with = |value: &Value, field: &str, to: Value| {
        let mut changed = value.clone();
        changed[field] = to;
        changed
    };
    let headed = |field: &str, to: Value| raw(&with(&header, field, to), &claims, parts[2]);
    let signer = Signer::of(yard);
    let claimed = |field: &str, to: Value| signer.sign("at+jwt", &signer.kid, &with(&claims, field, to));
    let now = claims["iat"].as_i64().unwrap();
    let other_key = jsonwebtoken::encode(
        &Header { typ: Some("at+jwt".into()), kid: Some(signer.kid.clone()), ..Header::new(Algorithm::HS256) },
        &claims,
        &EncodingKey::from_secret(b"a key of somebody else's, as long as ours is"),
    )
    .unwrap();
    let signed_in = |email: &str| {
        yard.world.anonymous().post("/api/v1/sign-ins", json!({"email": email, "password": PASSWORD})).expect(201)
    };
    let refresh = signed_in(&yard.owner.email).text_of("refresh_token");
    let disabled = stranger(yard);
    let changed = stranger(yard);
    let new_password = json!({"old_password": PASSWORD, "new_password": "six-strides-to-the-wall"});
    let second = signed_in(&changed.email).text_of("access_token");
    yard.client(&second).ask("POST", "/api/v1/me/password").json(&new_password).send().expect(204);
    let signed_out = stranger(yard);
    signed_out.ask("DELETE", "/api/v1/sign-ins/current").send().expect(204);
    store.batch(&format!("UPDATE account SET disabled_at = created_at WHERE email = '{}'", disabled.email));
    let of = |member: &Member| member.client.token.clone().unwrap();
    let one = [
        ("disabled account", of(&disabled)),
        ("before a password change", of(&changed)),
        ("signed out", of(&signed_out)),
        ("alg none", raw(&with(&header, "alg", json!("none")), &claims, "")),
        ("alg nOnE", raw(&with(&header, "alg", json!("nOnE")), &claims, "")),
        ("another key", other_key),
        ("edited payload", raw(&header, &with(&claims, "sub", json!(fresh())), parts[2])),
        ("empty signature", raw(&header, &claims, "")),
        ("expired", claimed("exp", json!(now - 1))),
        ("not yet valid", claimed("nbf", json!(now + 600))),
        ("wrong typ", signer.sign("JWT", &signer.kid, &claims)),
        ("wrong iss", claimed("iss", json!("somebody-else"))),
        ("wrong audience", claimed("aud", json!("somebody-else"))),
        ("unknown kid", signer.sign("at+jwt", &fresh(), &claims)),
        ("kid of a path", signer.sign("at+jwt", "../../../../dev/null", &claims)),
        ("kid of SQL", signer.sign("at+jwt", "' OR '1'='1", &claims)),
        ("jku", headed("jku", json!("https://keys.example.org/set.json"))),
        ("jwk", headed("jwk", json!({"kty": "oct", "k": "AAAA"}))),
        ("unknown crit", headed("crit", json!(["b64"]))),
        ("truncated", token[..token.len() - 20].to_owned()),
        ("100 KB", format!("{token}{}", "A".repeat(100_000))),
        ("refresh token", refresh),
        ("invitation secret", yard.invitation.clone()),
        ("revoked rail link", yard.revoked_rail.clone()),
        ("altered rail link", format!("{}x", yard.rail)),
    ];
    let bearer = |token: &str| format!("Bearer {token}");
    let mut all: Refused = one.iter().map(|(name, token)| (*name, vec![bearer(token)])).collect();
    all.push(("two headers", vec![bearer(&token), bearer(&token)]));
    all.push(("another scheme", vec![format!("Basic {token}")]));
    all.push(("none", Vec::new()));
    // the key at hand is the right one, so what was signed with it was refused for what it says
    let itself = signer.sign("at+jwt", &signer.kid, &claims);
    yard.client(&itself).get("/api/v1/me").expect(200);
    all
}

/// Somebody whose account is of no other use.
fn stranger(yard: &Yard) -> Member {
    let email = fresh_email("stranger");
    let barn = json!({"name": "Elsewhere", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"});
    let account = json!({"email": email, "name": "Noor", "password": PASSWORD, "barn": barn});
    yard.world.anonymous().post("/api/v1/accounts", account).expect(201);
    sign_in(&yard.world.anonymous(), &email).member
}

fn part(token: &str, index: usize) -> Value {
    serde_json::from_slice(&URL_SAFE_NO_PAD.decode(token.split('.').nth(index).unwrap()).unwrap()).unwrap()
}

fn coded(value: &Value) -> String {
    URL_SAFE_NO_PAD.encode(value.to_string())
}

/// The service's own key.
struct Signer {
    kid: String,
    key: EncodingKey,
}

impl Signer {
    fn of(yard: &Yard) -> Self {
        let db = Db::open(&Location::parse(&yard.world.server.url).unwrap()).unwrap();
        let (kid, secret): (String, String) = on_each!(&mut db.conn().unwrap(), |c| signing_key::table
            .order(signing_key::created_at.desc())
            .select((signing_key::kid, signing_key::secret))
            .first(c))
        .unwrap();
        Self { kid, key: EncodingKey::from_secret(&URL_SAFE_NO_PAD.decode(secret).unwrap()) }
    }

    fn sign(&self, typ: &str, kid: &str, claims: &Value) -> String {
        let header = Header { typ: Some(typ.into()), kid: Some(kid.into()), ..Header::new(Algorithm::HS256) };
        jsonwebtoken::encode(&header, claims, &self.key).unwrap()
    }
}
