//! What was logged: nothing is overwritten, and only what is counted counts.
use super::Barn;
use super::policy::{Access, Act, Eyes};
use super::sessions::Session;
use stridewright_tests::{Value, json};

#[derive(Debug, Clone)]
pub struct Ride {
    pub id: String,
    pub entry: String,
    /// 0 for what is no go.
    pub go: i64,
    pub kind: &'static str,
    pub at: Option<i64>,
    pub fences: Value,
    pub attempts: Value,
    pub efforts: i64,
    pub poles: i64,
    pub height: Option<i64>,
    pub note: Option<String>,
    pub standing: &'static str,
    pub supersedes: Option<String>,
    pub by: String,
    pub made: String,
}

impl Ride {
    /// Whether both tell of the same jumps, whatever they say of the time.
    pub fn same_jumps(&self, other: &Self) -> bool {
        let bare = |r: &Self| (r.kind, r.fences.clone(), r.attempts.clone(), r.efforts, r.poles, r.height);
        bare(self) == bare(other)
    }

    pub fn same(&self, other: &Self) -> bool {
        self.same_jumps(other) && (self.at, &self.note) == (other.at, &other.note)
    }

    pub fn live(&self) -> bool {
        self.standing == "counted" || self.standing == "disputed"
    }
}

impl Barn {
    /// Efforts logged under an entry.
    pub fn logged(&self, entry: &str) -> i64 {
        self.rides.iter().filter(|r| r.entry == entry && r.standing == "counted").map(|r| r.efforts).sum()
    }

    pub fn ridden(&self, entry: &str) -> bool {
        self.rides.iter().any(|r| r.entry == entry && r.standing == "counted")
    }

    /// The versions of a go.
    pub fn of_go(&self, entry: &str, go: i64) -> Vec<&Ride> {
        self.rides.iter().filter(|r| r.entry == entry && r.go == go && r.kind == "go").collect()
    }

    pub fn next_go(&self, entry: &str) -> i64 {
        let live = self.rides.iter().filter(|r| r.entry == entry && r.kind == "go" && r.live());
        live.map(|r| r.go).max().unwrap_or(0) + 1
    }

    pub fn ride_mut(&mut self, id: &str) -> &mut Ride {
        self.rides.iter_mut().find(|r| r.id == id).unwrap()
    }

    pub fn show_ride(&self, ride: &Ride) -> Value {
        let entry = self.entry(&ride.entry);
        json!({"id": ride.id, "session_id": entry.session, "entry_id": ride.entry, "horse_id": entry.horse,
            "rider_id": entry.rider, "go": (ride.go > 0).then_some(ride.go), "kind": ride.kind,
            "at": ride.at.map(super::text), "fences": ride.fences, "attempts": ride.attempts,
            "efforts": ride.efforts, "pole_passes": ride.poles, "height_cm": ride.height, "note": ride.note,
            "standing": ride.standing, "supersedes": ride.supersedes, "logged_by": ride.by,
            "created_at": ride.made})
    }

    /// The rides that they may see.
    pub fn rides_seen(&self, eyes: &Eyes) -> Vec<&Ride> {
        let may = |ride: &&Ride| eyes.may("Ride", Act::Read, &self.to_entry(eyes, self.entry(&ride.entry)));
        self.rides.iter().filter(|ride| may(ride) == Access::Fine).collect()
    }

    /// The day to which a ride belongs: its own, or without one its session's.
    pub fn day_of(&self, ride: &Ride) -> jiff::civil::Date {
        self.day(ride.at.unwrap_or_else(|| self.session(&self.entry(&ride.entry).session).starts))
    }

    /// Whether the entry's session is on a day to come.
    pub fn lies_ahead(&self, entry: &str) -> bool {
        self.day(self.session(&self.entry(entry).session).starts) > self.today()
    }

    /// Why nothing can be logged under the entry.
    pub fn no_log(&self, entry: &str) -> bool {
        let entry = self.entry(entry);
        let session: &Session = self.session(&entry.session);
        entry.horse.is_none() || session.kind == "appointment"
    }
}
