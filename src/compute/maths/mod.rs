//! Takes plain numbers; gives special functions and summaries, all on libm, so equal on every machine.

mod beta;
pub mod complex;
mod course;
mod gauss;
mod noncentral;
mod normal;
mod quantile;
pub mod strip;
mod summary;

pub use beta::{beta_cdf, beta_quantile, t_cdf, t_quantile};
pub use course::{crossings, time_above, window_fits, window_slopes};
pub use noncentral::{tolerance_confidence, tolerance_k};
pub use normal::{normal_cdf, normal_density, normal_quantile};
pub use quantile::sample_quantile;
pub use summary::{geometric_mean, least_squares, mean, median, moving_range, rolling_median, sd};
