//! Money and plans: the engine, the search for the best plan, closing sets, gates, and the volume.

mod best;
mod input;
mod peer;
