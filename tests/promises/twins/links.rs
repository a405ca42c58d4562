//! A helper's link stands on the right of the trainer who handed it out, and on a right in its own barn: it opens
//! nothing once that is gone, however it went, whatever a person of the same id may elsewhere.
use super::steps;
use super::trio::{Trio, Who};
use diesel::prelude::*;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::schema::{account, person};
use stridewright_api::on_each;
use stridewright_core::ids::{Barn, Id, Person};
use stridewright_tests::{json, on_both, rows};

/// What each of the deputy's links is answered, from the lowest barn to the highest.
fn opened(trio: &Trio) -> [u16; 3] {
    opens(trio, "/api/v1/barns/{barn_id}/rides")
}

fn opens(trio: &Trio, path: &str) -> [u16; 3] {
    let links = trio.rail_links.borrow();
    trio.barns.each_ref().map(|twin| {
        let (_, secret) = links.iter().rev().find(|(barn, _)| *barn == twin.id).unwrap();
        let helper = trio.world.anonymous().with_token(secret);
        helper.get(&trio.fill(twin, path)).status
    })
}

/// The maker's right goes behind the program's back, which would revoke the link as well.
#[derive(Clone, Copy)]
enum Gone {
    NoTrainer,
    Removed,
    Disabled,
    Back,
}

fn set(c: &mut AnyConn, barn: Id<Barn>, deputy: Id<Person>, gone: Gone) {
    let of = person::barn_id.eq(barn).and(person::id.eq(deputy));
    let held: Option<Id<stridewright_core::ids::Account>> =
        on_each!(&mut *c, |c| person::table.filter(of).select(person::account_id).first(c)).unwrap();
    let at = on_each!(&mut *c, |c| person::table.filter(of).select(person::created_at).first(c)).unwrap();
    let at: stridewright_core::calendar::Instant = at;
    let when = |is: bool| is.then_some(at);
    let (trainer, removed, disabled) = match gone {
        Gone::NoTrainer => (false, None, None),
        Gone::Removed => (true, when(true), None),
        Gone::Disabled => (true, None, when(true)),
        Gone::Back => (true, None, None),
    };
    on_each!(&mut *c, |c| diesel::update(person::table.filter(of))
        .set((person::trainer.eq(trainer), person::removed_at.eq(removed)))
        .execute(c))
    .unwrap();
    on_each!(c, |c| diesel::update(account::table.filter(account::id.eq(held.unwrap())))
        .set(account::disabled_at.eq(disabled))
        .execute(c))
    .unwrap();
}

on_both! {
    fn stand_on_a_right_in_their_barn(world) {
        let trio = Trio::found(world);
        for twin in &trio.barns {
            steps::fill(&trio, twin);
        }
        let c = &mut rows::beside(&trio.world.server.url);
        let (barn, deputy) = (trio.barns[1].id.parse().unwrap(), trio.id("deputy_id").parse().unwrap());
        assert_eq!(opened(&trio), [200, 200, 200]);
        for (gone, expected) in [
            (Gone::NoTrainer, [200, 401, 200]),
            (Gone::Removed, [200, 401, 200]),
            // the account is one in all three
            (Gone::Disabled, [401, 401, 401]),
        ] {
            set(c, barn, deputy, gone);
            assert_eq!(opened(&trio), expected);
            set(c, barn, deputy, Gone::Back);
            assert_eq!(opened(&trio), [200, 200, 200]);
        }
    }

    fn read_what_their_own_session_rides(world) {
        let trio = Trio::found(world);
        for twin in &trio.barns {
            steps::fill(&trio, twin);
        }
        for outer in [0, 2] {
            let session = trio.fill(&trio.barns[outer], "/api/v1/barns/{barn_id}/sessions/{session_id}");
            trio.client(Who::Trainer).change(&session, json!({"exercise_id": null})).expect(200);
        }
        let revision = "/api/v1/barns/{barn_id}/exercises/{exercise_id}/revisions/1";
        assert_eq!(opens(&trio, revision), [404, 200, 404]);
    }
}
