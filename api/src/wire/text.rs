//! Texts with bounds: no control characters, nothing but what both databases keep.

fn check(text: &str, min: usize, max: usize, lines: bool) -> Result<String, String> {
    if text.chars().any(|c| c.is_control() && !(lines && (c == '\n' || c == '\t'))) {
        return Err("must not hold control characters".to_owned());
    }
    let (sent, text) = (text.chars().count(), text.trim());
    if text.chars().count() < min || sent > max {
        return Err(format!("must have {min} to {max} characters, blanks at its ends not counted for the least"));
    }
    Ok(text.to_owned())
}

/// The same as a pattern: what is left without the blanks at its ends begins and ends with another character.
fn pattern(min: usize, lines: bool) -> String {
    let (control, line) = if lines { (r"\u0000-\u0008\u000b-\u001f", r"\t\n") } else { (r"\u0000-\u001f", "") };
    let blank = format!(r" {line}\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000");
    let (any, ink) = (format!(r"[^{control}\u007f-\u009f]"), format!(r"[^{control}\u007f-\u009f{blank}]"));
    let inner = match min {
        0 | 1 => format!("{ink}({any}*{ink})?"),
        _ => format!("{ink}{any}{{{},}}{ink}", min - 2),
    };
    format!("^[{blank}]*{inner}[{blank}]*$")
}

macro_rules! text {
    ($($(#[$doc:meta])* $name:ident, $min:literal ..= $max:literal, lines $lines:literal, example $example:literal;)*) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        #[serde(try_from = "String")]
        pub struct $name(String);

        impl $name {
            pub fn as_str(&self) -> &str {
                &self.0
            }

            pub fn into_string(self) -> String {
                self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = String;
            fn try_from(text: String) -> Result<Self, String> {
                check(&text, $min, $max, $lines).map(Self)
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::String)
                    .min_length(Some($min))
                    .max_length(Some($max))
                    .pattern(Some(pattern($min, $lines)))
                    .examples([$example])
                    .into()
            }
        }
        impl utoipa::ToSchema for $name {}
        impl crate::wire::leaf::Leaf for $name {}
    )* };
}

text! {
    /// The name of a person, horse, arena, barn.
    Name, 1 ..= 80, lines false, example "Bramble";
    /// A title of a session or exercise.
    Title, 1 ..= 120, lines false, example "Two fences, 66 ft";
    /// A short mark: a fence's number, a line's name.
    Label, 1 ..= 40, lines false, example "1-2";
    /// The number or letter painted beside a fence.
    FenceLabel, 1 ..= 8, lines false, example "1";
    /// Free text.
    Note, 1 ..= 2000, lines true, example "Kept the rhythm to the second fence.";
    /// A reason that others will read.
    Reason, 3 ..= 500, lines true, example "Shod late yesterday; a short session only.";
    /// A show's name or number, the same for all its days.
    ShowId, 1 ..= 80, lines false, example "Autumn show";
    /// A secret that was handed over once.
    Secret, 20 ..= 300, lines false, example "inv_01890a5dac96774bbcceb302099a8057_01890a5dac96774bbcceb302099a8058_c2VjcmV0LXNlY3JldC1zZWNyZXQ";
}

/// A password: 12 to 128 characters of any kind, taken as typed.
#[derive(Clone, serde::Deserialize)]
#[serde(try_from = "String")]
pub struct Password(String);

impl Password {
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Debug for Password {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Password")
    }
}

impl TryFrom<String> for Password {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        if (12..=128).contains(&text.chars().count()) {
            Ok(Self(text))
        } else {
            Err("must have 12 to 128 characters".to_owned())
        }
    }
}

impl utoipa::PartialSchema for Password {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .format(Some(utoipa::openapi::SchemaFormat::KnownFormat(utoipa::openapi::KnownFormat::Password)))
            .min_length(Some(12))
            .max_length(Some(128))
            .examples(["four-strides-to-the-oxer"])
            .into()
    }
}
impl utoipa::ToSchema for Password {}
impl super::leaf::Leaf for Password {}

/// What the parts of an e-mail address are made of.
const PART: &str = r"[^@ \u0000-\u001f\u007f-\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]";

/// Whether there is a dot with something on both sides.
fn dotted(host: &str) -> bool {
    host.char_indices().skip(1).any(|(at, c)| c == '.' && at + 1 < host.len())
}

/// An e-mail address.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(try_from = "String")]
pub struct Email(String);

impl Email {
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// What tells addresses apart: case does not.
    pub fn key(&self) -> String {
        self.0.to_lowercase()
    }
}

impl TryFrom<String> for Email {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        let blank = text.contains(|c: char| c.is_whitespace() || c.is_control());
        let fits = (5..=254).contains(&text.chars().count())
            && text.split_once('@').is_some_and(|(user, host)| !user.is_empty() && !host.contains('@') && dotted(host));
        if fits && !blank { Ok(Self(text)) } else { Err("must be an e-mail address".to_owned()) }
    }
}

impl utoipa::PartialSchema for Email {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .format(Some(utoipa::openapi::SchemaFormat::KnownFormat(utoipa::openapi::KnownFormat::Email)))
            .min_length(Some(5))
            .max_length(Some(254))
            .pattern(Some(format!(r"^{PART}+@{PART}+\.{PART}+$")))
            .examples(["mara@example.org"])
            .into()
    }
}
impl utoipa::ToSchema for Email {}
impl super::leaf::Leaf for Email {}

/// A time zone of the IANA database.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(try_from = "String")]
pub struct ZoneName(String);

impl ZoneName {
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for ZoneName {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        // no other spelling of a name than the pattern's
        let zone = stridewright_core::calendar::Zone::new(&text).ok().filter(|zone| zone.name() == text);
        zone.map(|_| Self(text)).ok_or_else(|| stridewright_core::calendar::UnknownZone.to_string())
    }
}

impl utoipa::PartialSchema for ZoneName {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .min_length(Some(1))
            .max_length(Some(60))
            .pattern(Some(format!("^({})$", stridewright_core::calendar::Zone::names().join("|").replace('+', "\\+"))))
            .examples(["Europe/Lisbon"])
            .into()
    }
}
impl utoipa::ToSchema for ZoneName {}
impl super::leaf::Leaf for ZoneName {}

impl Label {
    /// What a line is called by its two fences.
    pub fn joined(from: &FenceLabel, to: &FenceLabel) -> Self {
        Self(format!("{}-{}", from.0, to.0)) // 17 characters at most
    }
}
