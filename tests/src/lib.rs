//! The black-box suite.
