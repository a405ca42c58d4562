//! A yard with what a booking needs: arenas, horses, a rider, an owner, a child with a guardian.
use crate::barn::Member;
use crate::{Value, World, json};

pub struct Yard {
    pub arena: String,
    pub other_arena: String,
    pub horse: String,
    pub second_horse: String,
    pub pony: String,
    pub rider: Member,
    pub owner: Member,
    pub guardian: Member,
    /// A minor without a sign-in.
    pub child: String,
    pub trainer: String,
}

impl Yard {
    #[track_caller]
    pub fn new(world: &World) -> Self {
        let arena =
            |name: &str| world.make("arenas", json!({"name": name, "length_m": 60, "width_m": 25, "indoor": false}));
        let (rider, owner, child) = (world.rider(), world.owner(), world.minor());
        let guardian = world.guardian_of(&child);
        let yard = Self {
            arena: arena("Lower arena"),
            other_arena: arena("Upper arena"),
            horse: world.horse("Bramble"),
            second_horse: world.horse("Juniper"),
            pony: world
                .make("horses", json!({"name": "Tansy", "profile": "medium_pony", "limit_preset": "lesson_pony"})),
            rider,
            owner,
            guardian,
            child,
            trainer: world.trainer.person_id.clone(),
        };
        let pair = |horse: &str, rider: &str, up_to: u16| {
            let body = json!({"rider_id": rider, "level": "usual", "up_to_height_cm": up_to});
            world.make(&format!("horses/{horse}/pairings"), body);
        };
        pair(&yard.horse, &yard.rider.person_id, 100);
        pair(&yard.pony, &yard.child, 60);
        let owns = json!({"person_id": yard.owner.person_id, "kind": "owner"});
        world.make(&format!("horses/{}/ownerships", yard.horse), owns);
        yard
    }
}

/// An hour of jumping with one entry of the horse and its rider.
pub fn session(yard: &Yard, day: &str, hour: u8, efforts: u16) -> Value {
    json!({
        "kind": "jumping", "title": "Two fences, 66 ft", "arena_id": yard.arena, "trainer_id": yard.trainer,
        "starts_at": format!("{day}T{hour:02}:00:00Z"), "ends_at": format!("{day}T{:02}:00:00Z", hour + 1),
        "entries": [{"horse_id": yard.horse, "rider_id": yard.rider.person_id, "planned_efforts": efforts,
                     "planned_height_cm": 90}]
    })
}
