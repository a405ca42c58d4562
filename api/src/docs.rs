//! What the service says about itself: the OpenAPI document, a page to read it on, the pages of problems.
pub mod handlers;
