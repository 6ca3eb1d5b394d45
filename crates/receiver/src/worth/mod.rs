//! Whether a set is worth the work: the three parts that cannot be bought again, cost, evenings, and the next test.
//!
//! Money as the restorer counts it, evenings, chances from 0 to 1. Chances of the three parts ([`chance`]) start from the
//! fault table and are moved by each test that was made, with what such a test misses (Bayes' rule). Cost and evenings are
//! sums of figures with ranges, worked out in closed form over all outcomes of the three parts ([`weigh`]). A test is worth
//! making when its outcome would change what one does ([`next_test`]). All figures are the restorer's own or assumptions of
//! `data/worth_figures.csv`; nothing here can fail.

pub mod chance;
pub mod next_test;
pub mod weigh;
