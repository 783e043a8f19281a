//! The kernel as its users see it: solids in closed form, hard and random ones, their meshes, distances and fillets.

#[path = "../common/mod.rs"]
mod common;

mod closed_forms;
mod fillets;
mod hard_cases;
mod meshes;
mod probe;
mod random;
