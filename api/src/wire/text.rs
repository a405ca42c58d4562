//! Texts with bounds: no control characters, nothing but what both databases keep.

fn check(text: &str, min: usize, max: usize, lines: bool) -> Result<String, String> {
    let text = text.trim();
    let length = text.chars().count();
    if length < min || length > max {
        return Err(format!("must have {min} to {max} characters"));
    }
    if text.chars().any(|c| c.is_control() && !(lines && (c == '\n' || c == '\t'))) {
        return Err("must not hold control characters".to_owned());
    }
    Ok(text.to_owned())
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
        let text = check(&text, 3, 254, false)?;
        let fits = text.split_once('@').is_some_and(|(user, host)| {
            !user.is_empty()
                && host.len() > 2
                && host.contains('.')
                && !host.contains('@')
                && !text.contains(char::is_whitespace)
        });
        if fits { Ok(Self(text)) } else { Err("must be an e-mail address".to_owned()) }
    }
}

impl utoipa::PartialSchema for Email {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .format(Some(utoipa::openapi::SchemaFormat::KnownFormat(utoipa::openapi::KnownFormat::Email)))
            .min_length(Some(3))
            .max_length(Some(254))
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
        stridewright_core::calendar::Zone::new(&text)
            .map(|zone| Self(zone.name().to_owned()))
            .map_err(|e| e.to_string())
    }
}

impl utoipa::PartialSchema for ZoneName {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .min_length(Some(1))
            .max_length(Some(60))
            .examples(["Europe/Lisbon"])
            .into()
    }
}
impl utoipa::ToSchema for ZoneName {}
impl super::leaf::Leaf for ZoneName {}
