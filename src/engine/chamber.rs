//! The arithmetic of one chamber: fan and duct, wall, mister and controller, cooling, drops, and the balance of all.

pub mod balance;
pub mod band;
pub mod carbon;
pub mod convection;
pub mod cooling;
pub mod droplet;
pub mod duct;
pub mod facts;
pub mod fan;
pub mod minerals;
pub mod own_units;
pub mod profile;
pub mod quantity;
pub mod solve;
pub mod still;
pub mod uncertainty;
pub mod wall;
pub mod what_if;
