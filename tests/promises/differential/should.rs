//! What the model says must be answered.
use super::pair::Refused;
use stridewright_tests::{Answer, Value, json};

/// How well-formed fields that do not fit are refused.
const AT_ODDS: (u16, &str) = (409, "at_odds");
/// The same of parameters.
const QUERY_AT_ODDS: (u16, &str) = (409, "at_odds");

#[derive(Debug, Clone, Default)]
pub struct Should {
    pub status: u16,
    pub code: String,
    /// Where the errors point, where the model says so.
    pub pointers: Vec<String>,
    /// The codes of the rules that refuse, in their order.
    pub reasons: Option<Vec<String>>,
    /// The fields that it knows, at any depth; lists whole.
    pub facts: Value,
}

impl Should {
    pub fn ok(status: u16, facts: Value) -> Self {
        Self { status, facts, ..Self::default() }
    }

    pub fn no(status: u16, code: &str) -> Self {
        Self { status, code: code.to_owned(), ..Self::default() }
    }

    pub fn at(mut self, pointer: &str) -> Self {
        self.pointers.push(pointer.to_owned());
        self
    }

    /// A field that is fit by itself, but not for the others or for what stands there.
    pub fn at_odds(pointer: &str) -> Self {
        Self::no(AT_ODDS.0, AT_ODDS.1).at(pointer)
    }

    /// The same of several fields.
    pub fn all_at_odds(pointers: impl IntoIterator<Item = impl AsRef<str>>) -> Self {
        pointers.into_iter().fold(Self::no(AT_ODDS.0, AT_ODDS.1), |should, pointer| should.at(pointer.as_ref()))
    }

    /// Whether fields fit, as far as these do not.
    pub fn unless_fit(pointers: Vec<String>) -> Result<(), Self> {
        if pointers.is_empty() { Ok(()) } else { Err(Self::all_at_odds(pointers)) }
    }

    /// Rules refuse it, in this order.
    pub fn rules(code: &str, reasons: Vec<String>) -> Self {
        Self { reasons: Some(reasons), ..Self::no(409, code) }
    }

    pub fn query_at_odds(pointer: &str) -> Self {
        Self::no(QUERY_AT_ODDS.0, QUERY_AT_ODDS.1).at(pointer)
    }

    pub fn wrong_state() -> Self {
        Self::no(409, "wrong_state")
    }

    pub fn conflict() -> Self {
        Self::no(409, "conflict")
    }

    pub fn good(&self) -> bool {
        self.status < 300
    }

    /// Holds an answer to it.
    pub fn hold(&self, answer: &Answer) -> Result<(), Refused> {
        let code = answer["code"].as_str().filter(|_| answer.status >= 400).unwrap_or_default();
        if (answer.status, code) != (self.status, self.code.as_str()) {
            return Err(format!("is {} {code}, and {} {} by the model", answer.status, self.status, self.code));
        }
        if !self.pointers.is_empty() {
            let sorted = |mut pointers: Vec<String>| {
                pointers.sort();
                pointers
            };
            alike(&json!(sorted(answer.pointers())), &json!(sorted(self.pointers.clone())), "the pointers")?;
        }
        if let Some(reasons) = &self.reasons {
            alike(&json!(answer.reasons()), &json!(reasons), "the reasons")?;
        }
        alike(&answer.json, &self.facts, "")
    }
}

/// Whether every field of the second is in the first.
pub fn alike(is: &Value, should: &Value, at: &str) -> Result<(), Refused> {
    let unlike = || Err(format!("{at} is {is}, and {should} by the model"));
    match (is, should) {
        (_, Value::Null) if at.is_empty() => Ok(()),
        (Value::Object(_), Value::Object(fields)) => {
            fields.iter().try_for_each(|(name, value)| alike(&is[name], value, &format!("{at}/{name}")))
        }
        (Value::Array(is), Value::Array(should)) if is.len() == should.len() => {
            is.iter().zip(should).enumerate().try_for_each(|(n, (is, should))| alike(is, should, &format!("{at}/{n}")))
        }
        (Value::Number(a), Value::Number(b)) => {
            let near = a.as_f64().zip(b.as_f64()).is_some_and(|(a, b)| (a - b).abs() < 1e-9);
            if near { Ok(()) } else { unlike() }
        }
        _ if is == should => Ok(()),
        _ => unlike(),
    }
}
