//! What crosses the wire: bounded texts, lists, changes, pages; and how a body is read so that every
//! bad field is named at once.
pub mod bounded;
pub mod either;
pub mod input;
pub mod json;
pub mod leaf;
pub mod length;
pub mod list;
pub mod page;
pub mod patch;
pub mod text;
pub mod typed;
