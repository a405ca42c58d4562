//! The Stridewright service: HTTP, database, pages.
