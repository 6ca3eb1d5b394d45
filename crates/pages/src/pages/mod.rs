//! The pages, one file each. Each asks `benchwork` and shows the view it gets.
//!
//! A page has its routes, its main part, and what happens when its form is sent.

mod all;
mod begin;
mod chassis;
mod expect;
mod keep;
mod kept_answer;
mod look;
mod pair;
mod photographs;
mod picture_tube;
mod plain;
mod power;
mod practice;
mod prove;
mod readings;
mod reform;
mod renew;
mod report;
mod sheet;
mod short_entries;
mod story;
mod suspects;
mod tube;
mod wake;
mod where_it_stands;

use std::sync::Arc;

use axum::Router;

use crate::bench::Bench;

pub use begin::first;
pub use pair::not_let_in;
pub use readings::Stand;

/// The routes of every page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .merge(begin::routes())
        .merge(where_it_stands::routes())
        .merge(all::routes())
        .merge(look::routes())
        .merge(photographs::routes())
        .merge(chassis::routes())
        .merge(sheet::routes())
        .merge(short_entries::routes())
        .merge(picture_tube::routes())
        .merge(power::routes())
        .merge(expect::routes())
        .merge(wake::routes())
        .merge(suspects::routes())
        .merge(renew::routes())
        .merge(reform::routes())
        .merge(prove::routes())
        .merge(report::routes())
        .merge(tube::routes())
        .merge(practice::routes())
        .merge(keep::routes())
        .merge(kept_answer::routes())
        .merge(pair::routes())
        .merge(readings::routes())
        .merge(story::routes())
}
