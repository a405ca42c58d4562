//! What is computed without being saved: a line, and a distance for a group.
pub mod card;
pub mod group;
pub mod group_distances;
pub mod group_wire;
pub mod lines;
pub mod strides;
pub mod wire;
