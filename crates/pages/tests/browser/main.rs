//! The bench pages in a real Chromium, driven over WebDriver (W3C).
//!
//! Needs `chromium` and `chromedriver` of the distribution, which `./check` installs. Where they are not there the
//! tests say so and end; with BROWSER_TESTS=required that is a failure, with BROWSER_TESTS=apart they end at once
//! (`./check` runs them beside the others). Nothing is asked of any other host. What is
//! waited for has a bound, so a page that never comes fails.

#[path = "../../../benchwork/tests/at_a_step/mod.rs"]
mod at_a_step;
mod begins;
mod chassis_map;
mod driver;
mod every_page;
mod home_network;
mod judged_alike;
mod keyboard;
mod network;
#[path = "../asked/one_point.rs"]
mod one_point;
mod parts_list;
mod person;
mod served;
mod two_devices;
mod whole_story;
