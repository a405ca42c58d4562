//! Horses: read, made, changed; and the order in which a request is refused, which is every resource's.
use stridewright_tests::{json, on_both};

on_both! {
    fn made_and_read(world) {
        let id = world.horse("Bramble");
        let answer = world.trainer.get(&world.at(&format!("horses/{id}"))).expect(200);
        assert_eq!(answer["name"], json!("Bramble"));
        assert_eq!(answer.etag(), "\"v1\"");
    }
}
