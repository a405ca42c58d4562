//! The barn as it is filled: its address, whoever signed in, and the ids behind the names.
use crate::client::{Client, Failure};
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use serde_json::Value;
use std::collections::BTreeMap;

pub struct Barn {
    /// `/api/v1/barns/<id>`.
    path: String,
    /// The founder's.
    pub trainer: Client,
    /// The others who sign in for the report.
    pub signed_in: BTreeMap<String, Client>,
    /// The date in the barn.
    pub today: Date,
    pub zone: TimeZone,
    ids: BTreeMap<String, String>,
    names: BTreeMap<String, String>,
}

impl Barn {
    pub fn new(id: &str, trainer: Client, today: Date, zone: TimeZone) -> Self {
        let path = format!("/api/v1/barns/{id}");
        Self { path, trainer, signed_in: BTreeMap::new(), today, zone, ids: BTreeMap::new(), names: BTreeMap::new() }
    }

    /// The address of something of this barn: `at("horses")`.
    pub fn at(&self, rest: &str) -> String {
        format!("{}/{rest}", self.path)
    }

    /// The address of something of a horse.
    pub fn horse(&self, name: &str, rest: &str) -> Result<String, Failure> {
        Ok(format!("{}/horses/{}/{rest}", self.path, self.id(name)?))
    }

    /// The trainer makes something of that name.
    pub fn make(&mut self, name: &str, path: &str, body: &Value) -> Result<(), Failure> {
        let id = self.trainer.post(&self.at(path), body)?.id();
        self.learn(name, &id);
        Ok(())
    }

    pub fn learn(&mut self, name: &str, id: &str) {
        self.ids.insert(name.to_owned(), id.to_owned());
        self.names.insert(id.to_owned(), name.to_owned());
    }

    pub fn id(&self, name: &str) -> Result<&str, Failure> {
        self.ids.get(name).map(String::as_str).ok_or_else(|| Failure::Plain(format!("nothing is called {name}")))
    }

    /// The name behind an id on the wire.
    pub fn name(&self, id: &Value) -> &str {
        id.as_str().and_then(|id| self.names.get(id)).map_or("-", String::as_str)
    }

    /// Who signed in.
    pub fn client(&self, name: &str) -> Result<&Client, Failure> {
        self.signed_in.get(name).ok_or_else(|| Failure::Plain(format!("{name} has not signed in")))
    }

    /// A moment by the barn's clock, as it crosses the wire.
    pub fn moment(&self, day: Date, time: Time) -> Result<String, Failure> {
        let zoned = day.to_datetime(time).to_zoned_datetime(self.zone.clone());
        zoned.map(|z| z.timestamp().to_string()).map_err(|e| Failure::Plain(e.to_string()))
    }

    /// The barn's date and time of a moment on the wire.
    pub fn local(&self, moment: &Value) -> Option<jiff::civil::DateTime> {
        let at: jiff::Timestamp = moment.as_str()?.parse().ok()?;
        Some(at.to_zoned_datetime(self.zone.clone()).datetime())
    }

    /// So many days from today.
    pub fn day(&self, days: i32) -> Date {
        self.today.saturating_add(jiff::Span::new().days(days))
    }
}
