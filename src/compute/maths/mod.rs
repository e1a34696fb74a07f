//! Takes plain numbers; gives special functions and summaries, all on libm, so equal on every machine.

mod band;
mod beta;
mod censored;
pub mod complex;
mod course;
mod decimal;
pub mod distribution;
pub mod elliptic;
mod gauss;
mod noncentral;
mod normal;
mod quantile;
pub mod random;
mod ranks;
pub mod sampler;
pub mod simulate;
pub mod strip;
pub mod strip_field;
mod summary;

pub use beta::{beta_cdf, beta_quantile, beta_tails, t_cdf, t_quantile};
pub use censored::{Fit, Readings, normal_fit};
pub use course::{crossings, time_above, window_fits, window_slopes};
pub use decimal::{Decimal, complement, tail_at_most};
pub use noncentral::{noncentral_t_cdf, tolerance_confidence, tolerance_k};
pub use normal::{normal_cdf, normal_density, normal_log_cdf, normal_quantile};
pub use quantile::sample_quantile;
pub use ranks::{kendall_variance, rising_less_falling, sorted, ties};
pub use summary::{geometric_mean, least_squares, mean, median, moving_range, rolling_median, sd};
