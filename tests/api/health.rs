//! What those who run the service ask it, and the pages of problems.
use stridewright_api::problem::table::Kind;
use stridewright_tests::server::{Server, settings};
use stridewright_tests::{Client, on_both};

on_both! {
    fn alive_and_ready(world) {
        for path in ["/livez", "/readyz"] {
            world.anonymous().get(path).expect(200);
        }
    }

    fn counted(world) {
        world.trainer.get(&world.at("horses?limit=0")).expect(422);
        let text = world.anonymous().get("/metrics").expect(200).text();
        let line = |start: &str| text.lines().any(|line| line.starts_with(start));
        assert!(line("http_requests_total{method=\"GET\",path=\"/api/v1/barns/{barn_id}/horses\",status=\"4xx\"} "), "{text}");
        assert!(line("http_request_duration_seconds_bucket{method=\"GET\",path=\"/api/v1/barns/{barn_id}/horses\",le=\"+Inf\"} "));
        assert!(line("db_connections_in_use "));
        assert!(!text.contains(&world.barn_id), "an id is no label");
    }

    fn every_problem_has_its_page(world) {
        for row in Kind::ALL.iter().map(|kind| kind.row()) {
            let page = world.anonymous().get(&row.path()).expect(200);
            assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
            for part in [row.title, row.cause, row.cure, row.code] {
                assert!(page.text().contains(part) && !part.contains(['<', '&']), "{}: {part}", row.path());
            }
        }
        world.anonymous().get("/problems/nothing").refused(404, "not_found");
    }

    fn too_fast_is_told_to_wait(world) {
        let slow = stridewright_api::state::Settings { requests_per_second: 3, ..settings() };
        let server = Server::alone(world.server.database, slow).unwrap();
        let client = Client::new(&server.base);
        let answers: Vec<_> = (0..20).map(|_| client.get("/livez")).collect();
        let refused = answers.iter().find(|a| a.status == 429).expect("20 at once are more than 3 a second").clone();
        assert!(refused.refused(429, "too_many_requests").header("retry-after").parse::<u32>().unwrap() >= 1);
        // draft-ietf-httpapi-ratelimit-headers: what the policy is, what is left, and for how long
        assert!(answers.iter().all(|a| a.header("ratelimit-policy") == "\"address\";q=3;w=1"));
        assert_eq!((answers[0].status, answers[0].header("ratelimit").as_str()), (200, "\"address\";r=2;t=1"));
        let none_left = answers.iter().filter(|a| a.status == 429);
        assert!(none_left.map(|a| a.header("ratelimit")).all(|left| left.starts_with("\"address\";r=0;t=")));
    }
}
