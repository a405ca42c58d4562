//! Reading and building JSON without a panic.
use serde_json::Value;

/// Fields by name.
pub trait Fields {
    /// The field, or what a path such as `barn/id` leads to; null where there is none.
    fn of(&self, path: &str) -> &Value;
    /// Sets a field of an object.
    fn set(&mut self, name: &str, value: Value);
}

impl Fields for Value {
    fn of(&self, path: &str) -> &Value {
        self.pointer(&format!("/{path}")).unwrap_or(&Value::Null)
    }

    fn set(&mut self, name: &str, value: Value) {
        if let Some(object) = self.as_object_mut() {
            object.insert(name.to_owned(), value);
        }
    }
}
