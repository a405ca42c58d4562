//! What is computed without being saved: a line, a whole layout, and a distance for a group.
pub mod card;
pub mod combinations;
pub mod course;
pub mod course_wire;
pub mod findings;
pub mod grounded;
pub mod group;
pub mod group_distances;
pub mod group_wire;
pub mod judged;
mod judged_line;
pub mod layout_wire;
pub mod layouts;
pub mod lines;
pub mod strides;
pub mod wire;
