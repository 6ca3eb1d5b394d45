//! Strips onto pages: which strip stands where on which page.
//!
//! Points of 1/72 inch. Strips that ask to stay together do so as long as they fit on one page; a
//! row of them longer than that is parted where it must. A strip that is itself longer than a
//! page stands alone and runs over the foot. The head of a table comes again where the table goes
//! on. Nothing here fails.

use crate::strips::Strip;

/// One page.
#[derive(Default)]
pub(crate) struct Page {
    /// Strips with the height of their upper edge below the top margin.
    pub strips: Vec<(f32, Strip)>,
}

/// All strips, page by page, each page so high.
pub(crate) fn paginate(strips: Vec<Strip>, height: f32) -> Vec<Page> {
    let mut pages: Vec<Page> = Vec::new();
    let mut page = Page::default();
    let mut y = 0.0;
    for group in groups(strips) {
        let whole: f32 = group.iter().map(|strip| strip.gap + strip.height).sum();
        let begins = group.first().is_some_and(|strip| strip.begins_page);
        let is_too_much = y + whole > height && whole <= height;
        if !page.strips.is_empty() && (begins || is_too_much) {
            pages.push(std::mem::take(&mut page));
            y = 0.0;
        }
        for strip in group {
            if !page.strips.is_empty() && y + strip.gap + strip.height > height {
                pages.push(std::mem::take(&mut page));
                y = 0.0;
            }
            if page.strips.is_empty() {
                for again in strip.head.iter().flat_map(|head| head.iter()) {
                    page.strips.push((y, again.clone()));
                    y += again.height;
                }
            }
            let gap = if page.strips.is_empty() {
                0.0
            } else {
                strip.gap
            };
            y += gap;
            let below = strip.height;
            page.strips.push((y, strip));
            y += below;
        }
    }
    if !page.strips.is_empty() || pages.is_empty() {
        pages.push(page);
    }
    pages
}

/// Strips that stand together.
fn groups(strips: Vec<Strip>) -> Vec<Vec<Strip>> {
    let mut groups = Vec::new();
    let mut group = Vec::new();
    for strip in strips {
        if strip.begins_page && !group.is_empty() {
            groups.push(std::mem::take(&mut group));
        }
        let stays = strip.stays_with_next;
        group.push(strip);
        if !stays {
            groups.push(std::mem::take(&mut group));
        }
    }
    if !group.is_empty() {
        groups.push(group);
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::rc::Rc;

    fn strip(height: f32, stays: bool) -> Strip {
        Strip {
            height,
            stays_with_next: stays,
            ..Strip::default()
        }
    }

    fn counts(strips: Vec<Strip>) -> Vec<usize> {
        let pages = paginate(strips, 100.0);
        pages.iter().map(|page| page.strips.len()).collect()
    }

    #[test]
    fn what_stays_together_goes_over_together() {
        let strips = vec![strip(70.0, false), strip(20.0, true), strip(20.0, false)];
        assert_eq!(counts(strips), [1, 2]);
        let strips = vec![strip(70.0, false), strip(20.0, false), strip(20.0, false)];
        assert_eq!(counts(strips), [2, 1]);
        assert_eq!(counts(Vec::new()), [0]);
    }

    #[test]
    fn what_is_longer_than_a_page_is_parted_and_loses_nothing() {
        let strips = vec![strip(30.0, true); 9];
        assert_eq!(counts(strips), [3, 3, 3]);
        assert_eq!(
            counts(vec![strip(250.0, false), strip(10.0, false)]),
            [1, 1]
        );
    }

    #[test]
    fn a_table_that_goes_over_shows_its_head_again() {
        let head = Rc::new(vec![strip(10.0, true)]);
        let row = Strip {
            head: Some(head),
            ..strip(40.0, false)
        };
        let pages = paginate(vec![row; 5], 100.0);
        let tops: Vec<f32> = pages[1].strips.iter().map(|(y, _)| *y).collect();
        assert_eq!(tops, [0.0, 10.0, 50.0]);
    }

    #[test]
    fn a_new_page_begins_where_it_is_asked_for() {
        let begun = Strip {
            begins_page: true,
            ..strip(10.0, false)
        };
        assert_eq!(
            counts(vec![begun.clone(), strip(10.0, true), begun]),
            [2, 1]
        );
    }
}
