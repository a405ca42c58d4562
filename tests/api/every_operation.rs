//! What is true of every operation that the document lists.
use stridewright_api::routes::list;
use stridewright_tests::client::fresh;
use stridewright_tests::{Answer, Client, Value, World, json, on_both};

const METHODS: [&str; 5] = ["GET", "POST", "PUT", "PATCH", "DELETE"];

struct Operation {
    method: String,
    /// The address in this barn, other ids being nobody's.
    path: String,
    /// As the document has it.
    template: String,
    public: bool,
    in_barn: bool,
}

/// Every operation, addressed in this barn.
fn operations(world: &World) -> Vec<Operation> {
    let document = list::all().document();
    let mut found = Vec::new();
    for (template, item) in document["paths"].as_object().unwrap() {
        let mut path = template.replace("{barn_id}", &world.barn_id).replace("{revision}", "1");
        while let Some((before, rest)) = path.clone().split_once('{') {
            path = format!("{before}{}{}", fresh(), rest.split_once('}').unwrap().1);
        }
        for (method, operation) in item.as_object().unwrap() {
            found.push(Operation {
                method: method.to_uppercase(),
                path: path.clone(),
                template: template.clone(),
                public: operation["x-access"] == "public",
                in_barn: template.contains("{barn_id}"),
            });
        }
    }
    assert!(found.len() > 50);
    found
}

/// Sends a body that no operation takes: who may not know of the thing must not be told of the body.
fn send(client: &Client, operation: &Operation) -> Answer {
    let ask = client.ask(&operation.method, &operation.path);
    match operation.method.as_str() {
        "GET" => ask.send(),
        _ => ask.key(&fresh()).if_match("\"v1\"").bytes("application/json", b"{\"nothing\": ").send(),
    }
}

/// Answers all that are not as they should be.
fn others(operations: &[Operation], client: &Client, status: u16, code: &str) -> Vec<String> {
    let asked = operations.iter().map(|operation| (operation, send(client, operation)));
    let wrong = asked.filter(|(_, answer)| (answer.status, &answer["code"]) != (status, &json!(code)));
    wrong.map(|(o, answer)| format!("{} {}: {} {}", o.method, o.template, answer.status, answer.text())).collect()
}

on_both! {
    fn asks_who_is_there(world) {
        let mut guarded = operations(world);
        guarded.retain(|operation| !operation.public);
        assert_eq!(others(&guarded, &world.anonymous(), 401, "unauthenticated"), Vec::<String>::new());
    }

    fn is_hidden_from_strangers(world) {
        let mut of_the_barn = operations(world);
        of_the_barn.retain(|operation| operation.in_barn);
        let stranger = world.elsewhere().trainer;
        assert_eq!(others(&of_the_barn, &stranger, 404, "not_found"), Vec::<String>::new());
    }

    fn is_hidden_from_who_was_removed(world) {
        let gone = world.member(&["rider", "owner"]);
        gone.get(&world.at("horses")).expect(200);
        let person = world.at(&format!("people/{}", gone.person_id));
        let etag = world.trainer.get(&person).etag();
        world.trainer.delete(&person, &etag).expect(204);
        let mut of_the_barn = operations(world);
        of_the_barn.retain(|operation| operation.in_barn);
        assert_eq!(others(&of_the_barn, &gone, 404, "not_found"), Vec::<String>::new());
    }

    fn is_closed_to_a_rail_link_but_for_rides(world) {
        let arena = world.arena();
        let session = world.session(&arena, "2026-06-02T09:00:00Z", "2026-06-02T10:00:00Z");
        let links = world.at(&format!("sessions/{session}/rail-links"));
        let link = world.trainer.post(&links, json!({"label": "Phone at the gate"})).expect(201);
        let helper = world.anonymous().with_token(&link.text_of("secret"));
        let mut guarded = operations(world);
        guarded.retain(|operation| !operation.public);
        let open: Vec<String> = guarded
            .iter()
            .map(|operation| (operation, send(&helper, operation)))
            .filter(|(_, answer)| ![401, 403, 404].contains(&answer.status))
            .map(|(operation, _)| format!("{} {}", operation.method, operation.template))
            .collect();
        // which hold the rides of its session only, and take no others
        assert_eq!(open, ["GET /api/v1/barns/{barn_id}/rides", "POST /api/v1/barns/{barn_id}/rides"]);
    }

    fn only_what_is_public_is_open(world) {
        let open: Vec<String> = operations(world).into_iter().filter(|o| o.public).map(|o| o.template).collect();
        let expected = [
            "/api/v1/accounts", "/api/v1/docs", "/api/v1/docs/{file}", "/api/v1/openapi.json", "/api/v1/sign-ins",
            "/api/v1/sign-ins/refresh", "/livez", "/metrics", "/problems/{code}", "/readyz",
        ];
        assert_eq!(open, expected);
    }

    fn refuses_other_methods_and_says_which_there_are(world) {
        let all = operations(world);
        for operation in &all {
            let here: Vec<&str> = all.iter().filter(|o| o.template == operation.template).map(|o| o.method.as_str()).collect();
            for other in METHODS.iter().filter(|method| !here.contains(method)) {
                let refused = world.trainer.ask(other, &operation.path).send().refused(405, "method_not_allowed");
                let allow = refused.header("allow");
                let mut allowed: Vec<&str> = allow.split(", ").collect();
                allowed.sort_unstable();
                let mut expected = here.clone();
                expected.sort_unstable();
                assert_eq!(allowed, expected, "{other} {}", operation.template);
            }
        }
    }

    fn answers_faults_of_the_trainer_as_problems(world) {
        for operation in operations(world).iter().filter(|operation| operation.method != "GET" || !operation.public) {
            let answer = send(&world.trainer, operation);
            let at = format!("{} {}", operation.method, operation.template);
            if answer.status < 400 {
                assert!(operation.method == "GET" || answer.status == 204, "{at} took half a body: {}", answer.text());
                continue;
            }
            assert!(answer.status < 500, "{at}: {}", answer.text());
            assert_eq!(answer.header("content-type"), "application/problem+json", "{at}");
            let page = answer.text_of("type");
            world.anonymous().get(&page).expect(200);
            assert_eq!(answer["status"], Value::from(answer.status), "{at}");
        }
    }
}
