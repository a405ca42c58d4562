//! Filling: the founder, the people, the invitations and sign-ins, the horses.
use crate::barn::Barn;
use crate::cast::{BARN, FOUNDER, MOUNTS, PASSWORD, PEOPLE, SECOND_TRAINER, Somebody, ZONE, email};
use crate::client::{Client, Failure};
use crate::json::Fields;
use jiff::Span;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde_json::json;

/// The founder signs up, and the barn is there.
pub fn found(client: &Client, mark: &str, today: Date, zone: TimeZone) -> Result<Barn, Failure> {
    let address = email(FOUNDER, mark);
    let founded = json!({"name": BARN, "time_zone": ZONE, "units": "imperial", "labels": "british"});
    let account = json!({"email": address, "name": FOUNDER, "password": PASSWORD, "barn": founded});
    client.post("/api/v1/accounts", &account)?;
    let signed = client.post("/api/v1/sign-ins", &json!({"email": address, "password": PASSWORD}))?;
    let membership = signed.json.of("memberships/0");
    let trainer = client.with_token(signed.json.of("access_token").as_str().unwrap_or_default());
    let id = membership.of("barn").of("id").as_str().unwrap_or_default();
    let mut barn = Barn::new(id, trainer, today, zone);
    barn.learn(FOUNDER, membership.of("person_id").as_str().unwrap_or_default());
    let at = barn.at(&format!("people/{}", barn.id(FOUNDER)?));
    let step = PEOPLE.iter().find(|p| p.name == FOUNDER).and_then(|p| p.step_m);
    barn.trainer.patch(&at, "\"v1\"", &json!({"step_m": step}))?;
    Ok(barn)
}

/// Everybody else, with and without a sign-in.
pub fn people(barn: &mut Barn, client: &Client, mark: &str) -> Result<String, Failure> {
    for who in PEOPLE.iter().filter(|p| p.name != FOUNDER) {
        let mut body = json!({"name": who.name, "roles": who.roles});
        if let Some(age) = who.age {
            let born = barn.today.saturating_sub(Span::new().years(age).days(100));
            body.set("birth_date", json!(born.to_string()));
        }
        if let Some(step) = who.step_m {
            body.set("step_m", json!(step));
        }
        barn.make(who.name, "people", &body)?;
    }
    let invited: Vec<&Somebody> = PEOPLE.iter().filter(|p| p.signs_in && p.name != FOUNDER).collect();
    for who in &invited {
        let invitation = json!({"name": who.name, "roles": who.roles, "person_id": barn.id(who.name)?});
        let made = barn.trainer.post(&barn.at("invitations"), &invitation)?;
        let account = json!({"email": email(who.name, mark), "name": who.name, "password": PASSWORD,
            "invitation": made.json.of("secret")});
        client.post("/api/v1/accounts", &account)?;
        if let Some(minor) = who.guardian_of {
            let path = barn.at(&format!("people/{}/guardians", barn.id(minor)?));
            barn.trainer.post(&path, &json!({"guardian_id": barn.id(who.name)?}))?;
        }
    }
    let of = |role: &str| PEOPLE.iter().filter(|p| p.roles.contains(&role)).count();
    Ok(format!(
        "{} people: {} trainers, {} riders of whom {} are children, {} owners; {} sign-ins",
        PEOPLE.len(),
        of("trainer"),
        of("rider"),
        PEOPLE.iter().filter(|p| p.age.is_some()).count(),
        of("owner"),
        invited.len() + 1
    ))
}

/// Those whom the report shows at work sign in.
pub fn sign_in(barn: &mut Barn, client: &Client, mark: &str, names: &[&str]) -> Result<String, Failure> {
    for name in names {
        let body = json!({"email": email(name, mark), "password": PASSWORD});
        let signed = client.post("/api/v1/sign-ins", &body)?;
        let token = signed.json.of("access_token").as_str().unwrap_or_default();
        barn.signed_in.insert((*name).to_owned(), client.with_token(token));
    }
    Ok(format!("{} of them signed in", names.len() + 1))
}

/// The horses, whose they are, who rides them, and what their owners ask beyond the preset.
pub fn horses(barn: &mut Barn) -> Result<String, Failure> {
    let (mut owned, mut paired) = (0, 0);
    for mount in &MOUNTS {
        let measured = barn.day(-120).to_string();
        let stride = json!({"stride_m": mount.stride_m, "source": mount.source, "measured_on": measured});
        let body = json!({"name": mount.name, "profile": mount.profile, "mover": mount.mover, "green": mount.green,
            "limit_preset": mount.preset, "normal_stride": stride});
        barn.make(mount.name, "horses", &body)?;
        if let Some(owner) = mount.owner {
            let body = json!({"person_id": barn.id(owner)?, "kind": "owner"});
            barn.trainer.post(&barn.horse(mount.name, "ownerships")?, &body)?;
            owned += 1;
        }
        for (rider, level, height) in mount.riders {
            let body = json!({"rider_id": barn.id(rider)?, "level": level, "up_to_height_cm": height});
            let made = barn.trainer.post(&barn.horse(mount.name, "pairings")?, &body)?;
            barn.learn(&format!("{} / {rider}", mount.name), &made.id());
            paired += 1;
        }
    }
    Ok(format!("{} horses and ponies, {owned} ownerships, {paired} pairings", MOUNTS.len()))
}

/// What two owners ask beyond the barn's own limits, set by themselves.
pub fn owners_limits(barn: &Barn) -> Result<String, Failure> {
    let limits = [
        (
            "Linnea Dovecote",
            "Quillfeather",
            json!({"kind": "max_efforts_per_7_days", "value": 45, "source": "owner",
            "note": "He is to stay fresh for the summer."}),
        ),
        ("Linnea Dovecote", "Quillfeather", json!({"kind": "max_height_cm", "value": 90, "source": "owner"})),
        (
            "Saskia Quarrington",
            "Juniper Ash",
            json!({"kind": "max_height_cm", "value": 75, "source": "owner",
            "note": "Low until she has had a whole season."}),
        ),
        (
            "Saskia Quarrington",
            "Juniper Ash",
            json!({"kind": "max_efforts_per_session", "value": 14, "source": "owner"}),
        ),
    ];
    for (owner, horse, limit) in &limits {
        barn.client(owner)?.post(&barn.horse(horse, "workload-limits")?, limit)?;
    }
    Ok(format!("{} stricter limits by two owners", limits.len()))
}

/// Who signs in for the report.
pub const AT_WORK: [&str; 5] =
    [SECOND_TRAINER, "Oskar Pellow", "Alda Sorrelby", "Linnea Dovecote", "Saskia Quarrington"];
