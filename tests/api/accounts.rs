//! Signing up, signing in, refreshing, signing out; and how many guesses at a password are heard.
use stridewright_tests::barn::{Member, PASSWORD, found, fresh_email, sign_in};
use stridewright_tests::server::{Server, settings};
use stridewright_tests::{Answer, Client, Value, World, json, on_both};

const ACCOUNTS: &str = "/api/v1/accounts";
const SIGN_INS: &str = "/api/v1/sign-ins";
const REFRESH: &str = "/api/v1/sign-ins/refresh";
const ME: &str = "/api/v1/me";

fn barn() -> Value {
    json!({"name": "Long Meadow", "time_zone": "Europe/Lisbon", "units": "imperial", "labels": "american"})
}

fn signing_up(email: &str) -> Value {
    json!({"email": email, "name": "Mara", "password": PASSWORD, "barn": barn()})
}

fn try_password(client: &Client, email: &str, password: &str) -> Answer {
    client.ask("POST", SIGN_INS).json(&json!({"email": email, "password": password})).send()
}

fn refresh(client: &Client, token: &str) -> Answer {
    client.ask("POST", REFRESH).json(&json!({"refresh_token": token})).send()
}

on_both! {
    fn founds_a_barn(world) {
        let (nobody, email) = (world.anonymous(), fresh_email("Founder"));
        let made = nobody.ask("POST", ACCOUNTS).json(&signing_up(&email)).send().expect(201);
        assert_eq!(made.header("location"), ME);
        let membership = &made["memberships"][0];
        assert_eq!(membership["barn"]["units"], json!("imperial"));
        assert_eq!((&membership["roles"], &membership["wards"]), (&json!(["trainer"]), &json!([])));
        let client = sign_in(&nobody, &email.to_lowercase()).member.client;
        assert_eq!(client.get(ME).expect(200).json, made.json);
        // the account is there: the repetition says where it clashes
        let again = nobody.ask("POST", ACCOUNTS).json(&signing_up(&email.to_lowercase())).send();
        assert_eq!(again.refused(409, "conflict").pointers(), ["/email"]);
    }

    fn says_what_is_wrong_with_a_new_account(world) {
        let nobody = world.anonymous();
        let refused = |body: Value| nobody.post(ACCOUNTS, body).refused(422, "invalid_body").pointers();
        let bad = json!({"email": "mara", "name": "", "password": "short", "age": 3,
            "barn": {"name": "A", "time_zone": "Europe/Nowhere", "units": "feet", "labels": "british"}});
        assert_eq!(refused(bad), ["/age", "/barn/time_zone", "/barn/units", "/email", "/name", "/password"]);
        let email = fresh_email("undecided");
        assert_eq!(refused(json!({"email": email, "name": "M", "password": PASSWORD})), ["/barn"]);
        let both = json!({"email": email, "name": "M", "password": PASSWORD, "barn": barn(),
            "invitation": "inv_a_b_01234567890123456789"});
        assert_eq!(refused(both), ["/invitation"]);
        let nil = json!({"id": "00000000-0000-0000-0000-000000000000", "name": "A", "time_zone": "Europe/Lisbon",
            "units": "metric", "labels": "british"});
        let nil = nobody.post(ACCOUNTS, json!({"email": email, "name": "M", "password": PASSWORD, "barn": nil}));
        assert_eq!(nil.refused(409, "at_odds").pointers(), ["/barn/id"]);
        let mut taken = signing_up(&email);
        taken["barn"]["id"] = json!(world.barn_id);
        assert_eq!(nobody.post(ACCOUNTS, taken).refused(409, "conflict").pointers(), ["/barn/id"]);
        try_password(&nobody, &email, PASSWORD).refused(401, "wrong_credentials");
    }

    fn one_address_signs_up_once_however_many_try(world) {
        let email = fresh_email("twins");
        let answers = at_once(8, || world.anonymous().post(ACCOUNTS, signing_up(&email)));
        let (made, refused): (Vec<_>, Vec<_>) = answers.into_iter().partition(|answer| answer.status == 201);
        assert_eq!(made.len(), 1);
        for answer in refused {
            assert_eq!(answer.refused(409, "conflict").pointers(), ["/email"]);
        }
    }

    fn unknown_addresses_answer_like_wrong_passwords(world) {
        let (server, trainer) = alone(world);
        let nobody = Client::new(&server.base);
        let wrong = |email: &str| try_password(&nobody, email, "five-strides-to-the-oxer");
        let (known, unknown) = (&trainer.email, fresh_email("nobody"));
        for guess in 1..=8 {
            let (a, b) = (wrong(known), wrong(&unknown));
            assert_eq!((a.status, &a.bytes), (b.status, &b.bytes), "guess {guess}");
            assert_eq!(a.header("retry-after"), b.header("retry-after"), "guess {guess}");
            assert_eq!(a.status, if guess <= 5 { 401 } else { 429 }, "guess {guess}");
        }
        let refused = try_password(&nobody, known, PASSWORD).refused(429, "too_many_requests");
        assert_eq!(refused.header("retry-after"), "1");
        server.clock.advance_seconds(1);
        wrong(known).refused(401, "wrong_credentials");
        let refused = try_password(&nobody, known, PASSWORD).refused(429, "too_many_requests");
        assert_eq!(refused.header("retry-after"), "2");
        server.clock.advance_seconds(2);
        try_password(&nobody, known, PASSWORD).expect(201);
    }

    fn guesses_sent_at_once_are_counted_too(world) {
        let (server, trainer) = alone(world);
        let nobody = Client::new(&server.base);
        let statuses = at_once(30, || try_password(&nobody, &trainer.email, "five-strides-to-the-oxer").status);
        assert_eq!(statuses.iter().filter(|s| **s == 401).count(), 5, "{statuses:?}");
        // or the queue for the hash is full
        assert_eq!(statuses.iter().filter(|s| [429, 503].contains(*s)).count(), 25, "{statuses:?}");
    }

    fn right_passwords_are_no_guesses(world) {
        for _ in 0..12 {
            sign_in(&world.anonymous(), &world.trainer.email);
        }
    }

    fn a_refresh_token_is_good_once(world) {
        let nobody = world.anonymous();
        let other = sign_in(&nobody, &world.trainer.email).member.client;
        let first = try_password(&nobody, &world.trainer.email, PASSWORD).expect(201);
        assert_eq!((&first["token_type"], &first["expires_in"]), (&json!("Bearer"), &json!(900)));
        assert_eq!(first["memberships"][0]["barn_id"], json!(world.barn_id));
        let second = refresh(&nobody, &first.text_of("refresh_token")).expect(200);
        assert_ne!(second["refresh_token"], first["refresh_token"]);
        let client = nobody.with_token(&second.text_of("access_token"));
        client.get(ME).expect(200);
        // a second time: somebody stole it, and the whole sign-in ends
        refresh(&nobody, &first.text_of("refresh_token")).refused(401, "unauthenticated");
        client.get(ME).refused(401, "unauthenticated");
        nobody.with_token(&first.text_of("access_token")).get(ME).refused(401, "unauthenticated");
        refresh(&nobody, &second.text_of("refresh_token")).refused(401, "unauthenticated");
        other.get(ME).expect(200);
    }

    fn a_refresh_token_is_exchanged_once_however_many_try(world) {
        let nobody = world.anonymous();
        let token = try_password(&nobody, &world.trainer.email, PASSWORD).expect(201).text_of("refresh_token");
        let statuses = at_once(6, || refresh(&nobody, &token).status);
        assert_eq!(statuses.iter().filter(|s| **s == 200).count(), 1, "{statuses:?}");
    }

    fn tokens_expire(world) {
        let nobody = world.anonymous();
        let signed = try_password(&nobody, &world.trainer.email, PASSWORD).expect(201);
        let (access, renewal) = (signed.text_of("access_token"), signed.text_of("refresh_token"));
        let later = world.server.beside();
        let then = Client::new(&later.base).with_token(&access);
        later.clock.advance_seconds(15 * 60 - 1);
        then.get(ME).expect(200);
        later.clock.advance_seconds(1);
        then.get(ME).refused(401, "unauthenticated");
        later.clock.advance_seconds(30 * 24 * 3600 - 15 * 60);
        refresh(&then, &renewal).refused(401, "unauthenticated");
        let altered = format!("{}x", &renewal[..renewal.len() - 1]); // an x never ends 32 bytes in base64
        for bad in [altered.as_str(), "rt_without_anything_like_a_token", "01234567890123456789"] {
            refresh(&nobody, bad).refused(401, "unauthenticated");
        }
    }

    fn signing_out_bites_at_once(world) {
        let nobody = world.anonymous();
        let signed = try_password(&nobody, &world.trainer.email, PASSWORD).expect(201);
        let client = nobody.with_token(&signed.text_of("access_token"));
        let other = sign_in(&nobody, &world.trainer.email).member.client;
        client.ask("DELETE", "/api/v1/sign-ins/current").send().expect(204);
        client.get(ME).refused(401, "unauthenticated");
        refresh(&nobody, &signed.text_of("refresh_token")).refused(401, "unauthenticated");
        other.get(ME).expect(200);
        other.ask("DELETE", SIGN_INS).send().expect(204);
        other.get(ME).refused(401, "unauthenticated");
        world.trainer.get(ME).refused(401, "unauthenticated");
        sign_in(&nobody, &world.trainer.email).member.client.get(ME).expect(200);
    }

    fn a_new_password_ends_the_other_sign_ins(world) {
        let nobody = world.anonymous();
        let signed = try_password(&nobody, &world.trainer.email, PASSWORD).expect(201);
        let path = "/api/v1/me/password";
        let change = |old: &str, new: &str| {
            let body = json!({"old_password": old, "new_password": new});
            world.trainer.ask("POST", path).key("one-key-for-all").json(&body).send()
        };
        let (new, newer) = ("five-strides-to-the-oxer", "six-strides-to-the-oxer");
        assert_eq!(change(newer, new).refused(409, "at_odds").pointers(), ["/old_password"]);
        change(PASSWORD, new).expect(204);
        nobody.with_token(&signed.text_of("access_token")).get(ME).refused(401, "unauthenticated");
        refresh(&nobody, &signed.text_of("refresh_token")).refused(401, "unauthenticated");
        world.trainer.get(ME).expect(200);
        try_password(&nobody, &world.trainer.email, PASSWORD).refused(401, "wrong_credentials");
        // no key is heard here, so a second change is a second change
        change(new, newer).expect(204);
        try_password(&nobody, &world.trainer.email, newer).expect(201);
        for _ in 0..9 {
            change(PASSWORD, new);
        }
        change(newer, new).refused(429, "too_many_requests");
        nobody.ask("POST", path).json(&json!({})).send().refused(401, "unauthenticated");
    }

    fn changes_its_name(world) {
        let me = world.trainer.get(ME).expect(200);
        world.trainer.ask("PATCH", ME).json(&json!({"name": "Ines"})).send().refused(428, "if_match_required");
        let changed = world.trainer.patch(ME, &me.etag(), json!({"name": "Ines"})).expect(200);
        assert_eq!((&changed["name"], &changed["id"]), (&json!("Ines"), &me["id"]));
        assert_eq!(world.trainer.get(ME).expect(200).etag(), changed.etag());
        world.trainer.patch(ME, &me.etag(), json!({"name": "Rui"})).refused(412, "changed_meanwhile");
        // what it shows of a barn is part of its version
        let etag = world.trainer.get(ME).expect(200).etag();
        world.trainer.change(&format!("/api/v1/barns/{}", world.barn_id), json!({"name": "Short Meadow"})).expect(200);
        let shown = world.trainer.ask("GET", ME).header("If-None-Match", &etag).send().expect(200);
        assert_eq!(shown["memberships"][0]["barn"]["name"], json!("Short Meadow"));
    }

    fn signing_up_is_in_the_barns_audit_log(world) {
        // the chain is whole, and holds what founded the barn
        let mut conn = crate::ringside::conn(world);
        assert_eq!(stridewright_api::db::check::faults(&mut conn).unwrap(), Vec::<String>::new());
        let actions = crate::barns::actions(world);
        assert_eq!(actions, ["POST /api/v1/accounts"]);
    }
}

/// A service of one's own, whose count of guesses no other test's clock can reach, and a trainer there.
fn alone(world: &World) -> (Server, Member) {
    let server = Server::alone(world.server.database, settings()).unwrap();
    let (_, trainer) = found(&Client::new(&server.base));
    (server, trainer)
}

/// Does the same thing in many threads at the same time.
pub fn at_once<T: Send>(times: usize, work: impl Fn() -> T + Sync) -> Vec<T> {
    let gate = std::sync::Barrier::new(times);
    std::thread::scope(|scope| {
        let run = || {
            gate.wait();
            work()
        };
        let threads: Vec<_> = (0..times).map(|_| scope.spawn(run)).collect();
        threads.into_iter().map(|thread| thread.join().unwrap()).collect()
    })
}

/// An address of an account that founded another barn, and its client.
pub fn stranger(world: &World) -> (String, Client) {
    let email = fresh_email("stranger");
    world.anonymous().post(ACCOUNTS, signing_up(&email)).expect(201);
    let client = sign_in(&world.anonymous(), &email).member.client;
    (email, client)
}
