//! Tables into strips: one strip a line of a row, so that a row longer than a page is cut between
//! its lines.
//!
//! Points of 1/72 inch. The head is shown again where a table goes over to the next page. Nothing
//! here fails.

use std::rc::Rc;

use crate::document::{Look, Table, Text};
use crate::lay::{Layer, base_line, words_at};
use crate::letters::Line;
use crate::strips::{Ink, Meaning, Part, Strip, What};

const SIZE: f32 = 8.6;
const LEADING: f32 = 1.3;
const INSIDE: f32 = 5.0;
/// A row of more lines may be cut between two pages.
const LONGEST_KEPT: usize = 8;

/// One column as it is laid.
struct Lane {
    x: f32,
    width: f32,
    figures: bool,
}

impl Layer<'_> {
    pub(crate) fn table(&mut self, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        let lanes = self.lanes(table);
        let node = self.tree.add(Meaning::Table(table.about.clone()), None);
        let head_node = self.tree.add(Meaning::TableHead, Some(node));
        let heads: Vec<Text> = table
            .columns
            .iter()
            .map(|column| Text::strong(column.head.as_str()))
            .collect();
        let row = self.tree.add(Meaning::Row, Some(head_node));
        let mut head = self.row(&heads, &lanes, |layer, _| {
            layer.tree.add(Meaning::ColumnHead, Some(row))
        });
        head.push(self.line(0.9, Ink::Dark));
        for strip in &mut head {
            strip.stays_with_next = true;
        }
        if let Some(first) = head.first_mut() {
            first.gap = 9.0;
        }
        // Shown again it is for the eye alone: it was spoken once.
        let mut again = head.clone();
        for part in again.iter_mut().flat_map(|strip| &mut strip.parts) {
            part.node = None;
        }
        if let Some(first) = again.first_mut() {
            first.gap = 0.0;
        }
        let again = Rc::new(again);
        for strip in head {
            self.push(strip);
        }
        let body = self.tree.add(Meaning::TableBody, Some(node));
        for cells in &table.rows {
            let row = self.tree.add(Meaning::Row, Some(body));
            let mut strips = self.row(cells, &lanes, |layer, column| {
                let meaning = if column == 0 {
                    Meaning::RowHead
                } else {
                    Meaning::Cell
                };
                layer.tree.add(meaning, Some(row))
            });
            let kept = strips.len() <= LONGEST_KEPT;
            let last = strips.len().saturating_sub(1);
            for (number, strip) in strips.iter_mut().enumerate() {
                strip.head = Some(Rc::clone(&again));
                // The line below stays with the row's last words.
                strip.stays_with_next = kept || number == last || number == 0;
            }
            let mut line = self.line(0.4, Ink::Hair);
            line.head = Some(Rc::clone(&again));
            strips.push(line);
            for strip in strips {
                self.push(strip);
            }
        }
    }

    fn lanes(&self, table: &Table) -> Vec<Lane> {
        let all: f32 = table.columns.iter().map(|column| column.share).sum();
        let mut x = 0.0;
        let mut lanes = Vec::new();
        for column in &table.columns {
            let width = self.width * column.share / all.max(f32::MIN_POSITIVE);
            lanes.push(Lane {
                x: x + INSIDE,
                width: (width - 2.0 * INSIDE).max(SIZE),
                figures: column.figures,
            });
            x += width;
        }
        lanes
    }

    fn line(&self, height: f32, ink: Ink) -> Strip {
        Strip {
            height,
            parts: vec![Part {
                x: 0.0,
                y: 0.0,
                what: What::Field(self.width, height, ink),
                node: None,
            }],
            ..Strip::default()
        }
    }

    /// The lines of one row; `node` gives each cell its place in the tree.
    fn row(
        &mut self,
        cells: &[Text],
        lanes: &[Lane],
        mut node: impl FnMut(&mut Self, usize) -> usize,
    ) -> Vec<Strip> {
        // A cell without words has a dash: it was not forgotten, and is spoken as what it is.
        let empty = Text::quiet("–");
        let mut laid: Vec<(Vec<Line>, usize)> = Vec::new();
        for (column, lane) in lanes.iter().enumerate() {
            let node = node(self, column);
            let cell = cells.get(column).filter(|cell| !cell.is_empty());
            let cell = cell.unwrap_or(&empty);
            let strong = Text(
                cell.0
                    .iter()
                    .cloned()
                    .map(|mut piece| {
                        if column == 0 && piece.look == Look::Plain {
                            piece.look = Look::Strong;
                        }
                        piece
                    })
                    .collect(),
            );
            laid.push((self.letters.lines(&strong, SIZE, lane.width), node));
        }
        let rows = laid
            .iter()
            .map(|(lines, _)| lines.len())
            .max()
            .unwrap_or(0)
            .max(1);
        let mut strips = Vec::new();
        for row in 0..rows {
            let above = if row == 0 { 2.6 } else { 0.0 };
            let below = if row + 1 == rows { 2.8 } else { 0.0 };
            let mut parts = Vec::new();
            for ((lines, node), lane) in laid.iter().zip(lanes) {
                let Some(line) = lines.get(row) else {
                    continue;
                };
                let x = if lane.figures {
                    lane.x + lane.width - line.width
                } else {
                    lane.x
                };
                let y = above + base_line(SIZE);
                parts.push(words_at(line.clone(), (x, y), Ink::Dark, *node));
            }
            strips.push(Strip {
                height: above + SIZE * LEADING + below,
                parts,
                ..Strip::default()
            });
        }
        strips
    }
}
