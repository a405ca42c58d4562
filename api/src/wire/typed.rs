//! Numbers and truth values of a query string, where everything is text.
use super::bounded::{LineDistance, TapeLength, WalkedStep};
use super::json::literal;
use super::leaf::{Count, Leaf, rule};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use stridewright_core::units::Centimetres;
use utoipa::PartialSchema;
use utoipa::openapi::RefOr;
use utoipa::openapi::schema::Schema;

fn read<T: DeserializeOwned>(text: &str) -> Result<T, String> {
    let value = literal(text).unwrap_or_else(|| text.into());
    serde_json::from_value(value).map_err(|e| rule(&e.to_string()))
}

macro_rules! typed {
    ($($(#[$doc:meta])* $name:ident($inner:ty);)*) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, Deserialize)]
        #[serde(try_from = "String")]
        pub struct $name(pub $inner);

        impl TryFrom<String> for $name {
            type Error = String;
            fn try_from(text: String) -> Result<Self, String> {
                read(&text).map(Self)
            }
        }

        impl PartialSchema for $name {
            fn schema() -> RefOr<Schema> {
                <$inner>::schema()
            }
        }
        impl utoipa::ToSchema for $name {}
        impl Leaf for $name {}
    )* };
}

typed! {
    /// The distance of a line in a query, in metres.
    QueryDistance(LineDistance);
    /// The length of a tape in a query, in metres.
    QueryTape(TapeLength);
    /// The step of whoever walks a line in a query, in metres.
    QueryStep(WalkedStep);
    /// Centimetres in a query.
    QueryCentimetres(Centimetres);
    /// A number of efforts in a query.
    QueryCount(Count);
    /// True or false in a query.
    QueryBool(bool);
}
