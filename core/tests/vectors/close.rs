//! Compares an answer with an expected one, number by number.
use serde_json::Value;

/// `None` where the two agree: every number within the tolerance (absolute, or relative to
/// `max(1, |expected|)`), all else exactly; the fields of objects are those of `expected`.
pub fn difference(expected: &Value, got: &Value, tolerance: f64, relative: bool, at: &str) -> Option<String> {
    match (expected, got) {
        (Value::Number(e), Value::Number(g)) => {
            let (e, g) = (e.as_f64()?, g.as_f64()?);
            let bound = if relative { tolerance * e.abs().max(1.0) } else { tolerance };
            // written so that a NaN differs
            if (e - g).abs() <= bound { None } else { Some(format!("{at}: expected {e}, got {g}")) }
        }
        (Value::Array(e), Value::Array(g)) => {
            if e.len() != g.len() {
                return Some(format!("{at}: expected {expected}, got {got}"));
            }
            e.iter()
                .zip(g)
                .enumerate()
                .find_map(|(i, (e, g))| difference(e, g, tolerance, relative, &format!("{at}/{i}")))
        }
        (Value::Object(e), Value::Object(g)) => {
            if let Some(extra) = g.keys().find(|key| !e.contains_key(*key)) {
                return Some(format!("{at}/{extra}: not expected"));
            }
            e.iter().find_map(|(key, e)| {
                difference(e, g.get(key).unwrap_or(&Value::Null), tolerance, relative, &format!("{at}/{key}"))
            })
        }
        _ => (expected != got).then(|| format!("{at}: expected {expected}, got {got}")),
    }
}
