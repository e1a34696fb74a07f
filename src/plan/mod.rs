//! Takes site, workings and assessment; gives the site plan: what every plan costs, the best one, closing sets, gates.

pub mod poly;
