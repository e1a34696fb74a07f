//! Takes site, workings and assessment; gives the site plan: what every plan costs, the best one, closing sets, gates.

pub mod closing;
pub mod course;
pub mod instance;
pub mod money;
pub mod named;
pub mod policy;
pub mod poly;
pub mod prices;
pub mod program;
pub mod reach;
pub mod search;
pub mod staged;
pub mod tree;
