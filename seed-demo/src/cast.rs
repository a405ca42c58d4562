//! The people and horses of the invented barn.
use crate::model::Form;

pub const BARN: &str = "Quernstone Barn";
pub const ZONE: &str = "Europe/Dublin";
/// The password of every sign-in of the demonstration.
pub const PASSWORD: &str = "walk-the-line-twice";

/// Somebody of the barn; the first is its founder.
pub struct Somebody {
    pub name: &'static str,
    pub roles: &'static [&'static str],
    /// The age of a child.
    pub age: Option<i16>,
    /// Whether they sign in.
    pub signs_in: bool,
    /// The child whose guardian they are.
    pub guardian_of: Option<&'static str>,
    /// The length of their step, in metres.
    pub step_m: Option<f64>,
}

const fn adult(name: &'static str, roles: &'static [&'static str], signs_in: bool) -> Somebody {
    Somebody { name, roles, age: None, signs_in, guardian_of: None, step_m: None }
}

const fn child(name: &'static str, age: i16) -> Somebody {
    Somebody { name, roles: &["rider"], age: Some(age), signs_in: false, guardian_of: None, step_m: None }
}

const fn guardian(name: &'static str, roles: &'static [&'static str], of: &'static str) -> Somebody {
    Somebody { name, roles, age: None, signs_in: true, guardian_of: Some(of), step_m: None }
}

pub const FOUNDER: &str = "Mara Tennick";
pub const SECOND_TRAINER: &str = "Joss Arkwell";

pub const PEOPLE: [Somebody; 20] = [
    Somebody { step_m: Some(0.9), ..adult(FOUNDER, &["trainer"], true) },
    Somebody { step_m: Some(0.95), ..adult(SECOND_TRAINER, &["trainer"], true) },
    adult("Tilda Wexcombe", &["rider"], false),
    adult("Oskar Pellow", &["rider"], true),
    adult("Bryony Tasker", &["rider"], true),
    adult("Nadia Corriedale", &["rider", "owner"], true),
    adult("Felix Umberlow", &["rider"], false),
    adult("Rowan Thistlewick", &["rider"], false),
    adult("Hettie Marlpit", &["rider"], false),
    child("Pip Sorrelby", 11),
    child("Juno Fennimoor", 13),
    child("Eddy Brackwater", 9),
    guardian("Alda Sorrelby", &["owner"], "Pip Sorrelby"),
    guardian("Greta Brackwater", &["owner"], "Eddy Brackwater"),
    guardian("Tomas Fennimoor", &[], "Juno Fennimoor"),
    adult("Corin Ashvale", &["owner"], false),
    adult("Linnea Dovecote", &["owner"], true),
    adult("Matthis Penhollow", &["owner"], true),
    adult("Saskia Quarrington", &["owner"], true),
    adult("Ulla Wickfield", &["owner"], false),
];

/// A horse or pony.
pub struct Mount {
    pub name: &'static str,
    pub profile: &'static str,
    pub preset: &'static str,
    pub mover: &'static str,
    pub green: bool,
    /// Its normal stride in metres, and how that was found.
    pub stride_m: f64,
    pub source: &'static str,
    /// Whose it is; the barn's own where nobody is named.
    pub owner: Option<&'static str>,
    /// Its riders: level, and the height in cm up to which the pair books on its own. The first rides it most.
    pub riders: &'static [(&'static str, &'static str, u16)],
    /// Jump efforts of an ordinary session, and how high.
    pub efforts: u32,
    pub height_cm: u16,
    pub form: Form,
}

const fn horse(name: &'static str, preset: &'static str, stride_m: f64, form: Form) -> Mount {
    Mount {
        name,
        profile: "horse",
        preset,
        mover: "usual",
        green: false,
        stride_m,
        source: "counted",
        owner: None,
        riders: &[],
        efforts: 16,
        height_cm: 80,
        form,
    }
}

pub const STEADY: &str = "Bramwell";
pub const IMPROVING: &str = "Quillfeather";
pub const DECLINING: &str = "Tally Marsh";
pub const SHOWING: &str = "Copperbeech";
pub const YOUNG: &str = "Juniper Ash";
pub const RETURNING: &str = "Merrow";
pub const STOOD_DOWN: &str = "Flintlock";

pub const MOUNTS: [Mount; 12] = [
    Mount {
        owner: Some("Corin Ashvale"),
        riders: &[("Tilda Wexcombe", "schooled", 105), ("Bryony Tasker", "usual", 90)],
        ..horse(STEADY, "established", 3.66, Form::steady(0.22, 0.11))
    },
    Mount {
        owner: Some("Linnea Dovecote"),
        riders: &[("Oskar Pellow", "usual", 90)],
        source: "taped",
        ..horse(IMPROVING, "established", 3.58, Form::changing(0.15, 0.085, 0.042))
    },
    Mount {
        owner: Some("Matthis Penhollow"),
        riders: &[("Bryony Tasker", "usual", 90)],
        ..horse(DECLINING, "established", 3.70, Form::changing(0.29, 0.14, -0.05))
    },
    Mount {
        owner: Some("Nadia Corriedale"),
        riders: &[("Nadia Corriedale", "schooled", 120)],
        mover: "big",
        source: "taped",
        efforts: 20,
        height_cm: 95,
        ..horse(SHOWING, "competing", 3.74, Form::steady(0.24, 0.12))
    },
    Mount {
        owner: Some("Saskia Quarrington"),
        riders: &[("Felix Umberlow", "usual", 80)],
        efforts: 12,
        height_cm: 60,
        ..horse(YOUNG, "young", 3.52, Form::steady(0.17, 0.08))
    },
    Mount {
        owner: Some("Saskia Quarrington"),
        riders: &[("Rowan Thistlewick", "usual", 80)],
        green: true,
        efforts: 10,
        height_cm: 55,
        source: "guess",
        ..horse("Oatcake", "young", 3.45, Form::steady(0.15, 0.07))
    },
    Mount {
        owner: Some("Ulla Wickfield"),
        riders: &[("Hettie Marlpit", "schooled", 100)],
        efforts: 14,
        height_cm: 75,
        ..horse(RETURNING, "established", 3.62, Form::steady(0.21, 0.10))
    },
    Mount {
        owner: Some("Corin Ashvale"),
        riders: &[("Tilda Wexcombe", "schooled", 105)],
        height_cm: 85,
        ..horse(STOOD_DOWN, "established", 3.68, Form::steady(0.22, 0.12))
    },
    Mount {
        profile: "large_pony",
        riders: &[("Juno Fennimoor", "usual", 80), ("Hettie Marlpit", "schooled", 90)],
        efforts: 12,
        height_cm: 55,
        ..horse("Tansy", "lesson_pony", 3.35, Form::steady(0.20, 0.09))
    },
    Mount {
        profile: "medium_pony",
        owner: Some("Alda Sorrelby"),
        riders: &[("Pip Sorrelby", "usual", 65)],
        mover: "short",
        efforts: 12,
        height_cm: 50,
        ..horse("Button Moss", "lesson_pony", 3.10, Form::steady(0.18, 0.08))
    },
    Mount {
        profile: "small_pony",
        owner: Some("Greta Brackwater"),
        riders: &[("Eddy Brackwater", "usual", 60)],
        efforts: 10,
        height_cm: 45,
        ..horse("Pepperpot", "lesson_pony", 2.98, Form::steady(0.16, 0.07))
    },
    Mount {
        profile: "large_pony",
        owner: Some("Greta Brackwater"),
        riders: &[("Rowan Thistlewick", "usual", 80), ("Juno Fennimoor", "usual", 70)],
        efforts: 12,
        height_cm: 65,
        ..horse("Damson", "established", 3.40, Form::steady(0.20, 0.10))
    },
];

/// The mount of that name.
pub fn mount(name: &str) -> Option<&'static Mount> {
    MOUNTS.iter().find(|m| m.name == name)
}

/// An e-mail address of somebody; `mark` tells one filling of an instance from another.
pub fn email(name: &str, mark: &str) -> String {
    let user = name.to_lowercase().replace(' ', ".");
    let plus = if mark.is_empty() { String::new() } else { format!("+{mark}") };
    format!("{user}{plus}@example.org")
}
