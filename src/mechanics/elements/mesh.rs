//! Lines of the mesh, made from the sleeve's own dimensions, and which cell belongs to which part.
//!
//! The fitting has rows of its own: it shares the lines along x with the rest and no node, so that a neck of any
//! diameter fits. Lengths in m.

use super::element::NODES;

/// A part of the assembly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// What screws in.
    Fitting,
    /// The bonded sleeve.
    Insert,
    /// The layer between.
    Glue,
    /// What the insert is bonded into.
    Frame,
}

/// Elements across the glue before any halving. The first mesh has two, as the least.
const ACROSS_GLUE: usize = 2;
/// By how much steps may grow per length. Invented: neighbours differ by a factor of about 2.
const GROWTH: f64 = 0.4;
/// The most elements along x on the first mesh, and across the wall of a part.
const MOST_ALONG: usize = 160;
const MOST_ACROSS: usize = 24;

/// Dimensions that decide the mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sizes {
    /// Radii: fitting's bore, its neck, its thread; insert's bore and outside; frame's bore and outside.
    pub fitting_bore: f64,
    pub neck_radius: f64,
    pub thread_radius: f64,
    pub bore: f64,
    pub outside: f64,
    pub frame_bore: f64,
    pub frame_outside: f64,
    /// Lengths from the face: where the thread begins and ends, end of the bond, of the insert, of the frame.
    pub thread: (f64, f64),
    pub bond: f64,
    pub insert_end: f64,
    pub frame_end: f64,
    /// Rings of the seat, inner and outer radius.
    pub seat_insert: Option<(f64, f64)>,
    pub seat_frame: Option<(f64, f64)>,
}

/// One row of cells between two lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    /// Index of the lower line.
    pub line: usize,
    pub part: Part,
    /// From which x to which the row has cells.
    pub from: f64,
    pub to: f64,
}

/// A mesh of rectangles.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    /// Lines across x, corner nodes.
    pub x: Vec<f64>,
    /// Lines of radius, those of the fitting (if it is there) before those of the rest.
    pub r: Vec<f64>,
    pub rows: Vec<Row>,
    /// Index of the line of the fitting's thread, and of the insert's bore.
    pub thread_line: Option<usize>,
    pub bore_line: usize,
    pub sizes: Sizes,
    /// Whether the row at (column, row) has a cell.
    inside: Vec<bool>,
}

/// Lines from mark to mark, as few as the wished size allows.
fn lines(marks: &[f64], size: &impl Fn(f64) -> f64, most: usize) -> Vec<f64> {
    const SAMPLES: usize = 200;
    let mut out = vec![marks[0]];
    for pair in marks.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let at = |i: usize| a + (b - a) * i as f64 / SAMPLES as f64;
        // Steps taken up to each sample, if each step is as long as wished; the samples lie closer at both ends.
        let ease = |i: usize| {
            let t = i as f64 / SAMPLES as f64;
            t * t * (3.0 - 2.0 * t)
        };
        let place = |i: usize| {
            if i == SAMPLES {
                at(i)
            } else {
                a + (b - a) * ease(i)
            }
        };
        let mut taken = vec![0.0; SAMPLES + 1];
        for i in 1..=SAMPLES {
            let (p, q) = (place(i - 1), place(i));
            taken[i] = taken[i - 1] + (q - p) / size(0.5 * (p + q));
        }
        let total = taken[SAMPLES];
        let count = (total.round().max(1.0) as usize).min(most);
        let mut i = 0;
        for k in 1..count {
            let want = total * k as f64 / count as f64;
            while i + 1 < SAMPLES && taken[i + 1] < want {
                i += 1;
            }
            let (p, q) = (place(i), place(i + 1));
            out.push(p + (q - p) * (want - taken[i]) / (taken[i + 1] - taken[i]));
        }
        out.push(b);
    }
    out
}

/// Marks in rising order; of two closer than `apart` the one that comes first in the list stays.
fn marks(wanted: &[f64], apart: f64) -> Vec<f64> {
    let mut kept: Vec<f64> = Vec::new();
    for &m in wanted {
        if kept.iter().all(|k| (k - m).abs() > apart) {
            kept.push(m);
        }
    }
    kept.sort_by(f64::total_cmp);
    kept
}

/// The mark that a place was moved to.
fn nearest(marks: &[f64], place: f64) -> f64 {
    let far = |m: &f64| (m - place).abs();
    let by = |a: &&f64, b: &&f64| far(a).total_cmp(&far(b));
    marks.iter().min_by(by).copied().unwrap_or(place)
}

fn halved(lines: &[f64], times: u32) -> Vec<f64> {
    let mut out = lines.to_vec();
    for _ in 0..times {
        let mut finer = Vec::with_capacity(2 * out.len());
        for pair in out.windows(2) {
            finer.extend([pair[0], 0.5 * (pair[0] + pair[1])]);
        }
        finer.extend(out.last());
        out = finer;
    }
    out
}

impl Grid {
    /// The mesh after so many halvings, with or without the fitting.
    ///
    /// Sizes of cells are our own choice: with them the quoted values of the thirteen sleeves of `tests/elements` and of the
    /// starters settle after one halving.
    pub(super) fn new(sizes: &Sizes, times: u32, fitting: bool) -> Self {
        let mut s = *sizes;
        let eta = s.frame_bore - s.outside;
        let wall = s.outside - s.bore;
        let frame_wall = s.frame_outside - s.frame_bore;
        // Along x. Of places that nearly coincide, ends of parts beat ends of the thread.
        let apart = (0.25 * eta).min(s.bond / 400.0);
        let wanted = [
            0.0,
            s.bond,
            s.frame_end,
            s.insert_end,
            s.thread.1,
            s.thread.0,
        ];
        let along = marks(&wanted, apart);
        s.frame_end = nearest(&along, s.frame_end);
        s.insert_end = nearest(&along, s.insert_end);
        s.thread = (nearest(&along, s.thread.0), nearest(&along, s.thread.1));
        // No longer than a quarter of the wall, but for a body so long that it would take too many.
        let whole = s.insert_end.max(s.frame_end);
        let most = (whole / 40.0).max((s.bond / 10.0).min(0.25 * wall));
        let fine = (0.3 * eta).min(0.06 * wall).min(most);
        let thread = (0.2 * wall).min(most).max(s.insert_end / 200.0);
        let ends = [
            (0.0, fine),
            (s.bond, fine),
            (s.thread.0, thread),
            (s.thread.1, thread),
            (s.frame_end, most),
        ];
        let size = |x: f64| {
            ends.iter()
                .map(|(at, h)| h + GROWTH * (x - at).abs())
                .fold(most, f64::min)
        };
        let x = lines(&along, &size, MOST_ALONG);
        // Across.
        let mut r = Vec::new();
        let mut rows = Vec::new();
        let mut thread_line = None;
        let group = |lines: Vec<f64>,
                     part: Part,
                     from: f64,
                     to: f64,
                     r: &mut Vec<f64>,
                     rows: &mut Vec<Row>| {
            let lines = halved(&lines, times);
            // The first line is shared with the part before, if there is one.
            let shared = r
                .last()
                .is_some_and(|last: &f64| *last == lines[0] && part != Part::Insert);
            let first = if shared { r.len() - 1 } else { r.len() };
            r.extend(&lines[usize::from(shared)..]);
            for k in 0..lines.len() - 1 {
                rows.push(Row {
                    line: first + k,
                    part,
                    from,
                    to,
                });
            }
        };
        if fitting {
            let body = s.thread_radius - s.fitting_bore;
            let even = |size: f64| move |_: f64| size;
            if s.neck_radius < s.thread_radius {
                let neck = s.neck_radius - s.fitting_bore;
                let l = lines(
                    &[s.fitting_bore, s.neck_radius],
                    &even(0.5 * neck),
                    MOST_ACROSS,
                );
                group(l, Part::Fitting, 0.0, s.thread.1, &mut r, &mut rows);
                let l = vec![s.neck_radius, s.thread_radius];
                group(l, Part::Fitting, s.thread.0, s.thread.1, &mut r, &mut rows);
            } else {
                let l = lines(
                    &[s.fitting_bore, s.thread_radius],
                    &even(0.5 * body),
                    MOST_ACROSS,
                );
                group(l, Part::Fitting, 0.0, s.thread.1, &mut r, &mut rows);
            }
            thread_line = Some(r.len() - 1);
            if s.neck_radius > s.thread_radius && s.thread.0 > 0.0 {
                let l = vec![s.thread_radius, s.neck_radius];
                group(l, Part::Fitting, 0.0, s.thread.0, &mut r, &mut rows);
            }
        }
        let bore_line = r.len();
        let ring = |ring: Option<(f64, f64)>, a: f64, b: f64, apart: f64| {
            let mut wanted = vec![a, b];
            if let Some((p, q)) = ring {
                wanted.extend([q, p]);
            }
            let kept = marks(&wanted, apart);
            let moved = ring.map(|(p, q)| (nearest(&kept, p), nearest(&kept, q)));
            (kept, moved.filter(|(p, q)| q > p))
        };
        let (inner, seat) = ring(s.seat_insert, s.bore, s.outside, 0.02 * wall);
        s.seat_insert = seat;
        let near =
            |fine: f64, at: f64, most: f64| move |r: f64| most.min(fine + GROWTH * (r - at).abs());
        let fine = eta.clamp(0.12 * wall, 0.2 * wall);
        let l = lines(&inner, &near(fine, s.outside, 0.3 * wall), MOST_ACROSS);
        group(l, Part::Insert, 0.0, s.insert_end, &mut r, &mut rows);
        // An even number, so that a line runs along the middle.
        let across = if eta < 0.15 * wall {
            ACROSS_GLUE
        } else {
            2 * ACROSS_GLUE
        };
        let l = (0..=across)
            .map(|k| {
                if k == across {
                    s.frame_bore
                } else {
                    s.outside + eta * k as f64 / across as f64
                }
            })
            .collect();
        group(l, Part::Glue, 0.0, s.bond, &mut r, &mut rows);
        let (outer, seat) = ring(
            s.seat_frame,
            s.frame_bore,
            s.frame_outside,
            0.02 * frame_wall,
        );
        s.seat_frame = seat;
        let fine = fine.min(0.25 * frame_wall);
        let l = lines(
            &outer,
            &near(fine, s.frame_bore, 0.25 * frame_wall),
            MOST_ACROSS,
        );
        group(l, Part::Frame, 0.0, s.frame_end, &mut r, &mut rows);

        let x = halved(&x, times);
        let mut inside = Vec::with_capacity(x.len() * rows.len());
        for pair in x.windows(2) {
            let middle = 0.5 * (pair[0] + pair[1]);
            inside.extend(rows.iter().map(|row| middle > row.from && middle < row.to));
        }
        Self {
            x,
            r,
            rows,
            thread_line,
            bore_line,
            sizes: s,
            inside,
        }
    }

    /// Columns of cells.
    pub(super) fn columns(&self) -> usize {
        self.x.len() - 1
    }
    pub(super) fn has(&self, column: usize, row: usize) -> bool {
        self.inside[column * self.rows.len() + row]
    }
    /// Nodes of a line across x at corners and at middles of cells.
    fn width(&self) -> (usize, usize) {
        (2 * self.r.len() - 1, self.r.len())
    }
    pub(super) fn nodes(&self) -> usize {
        let (corner, middle) = self.width();
        self.x.len() * corner + self.columns() * middle
    }
    /// Node at corner line `i`, place `k` (even: line k/2; odd: middle of a row).
    pub(super) fn corner(&self, i: usize, k: usize) -> usize {
        let (corner, middle) = self.width();
        i * (corner + middle) + k
    }
    /// Node in the middle of column `i` on line `line`.
    pub(super) fn middle(&self, i: usize, line: usize) -> usize {
        let (corner, middle) = self.width();
        i * (corner + middle) + corner + line
    }
    /// Nodes of a cell, in the order of the shape functions.
    pub(super) fn cell(&self, i: usize, row: usize) -> [usize; NODES] {
        let k = self.rows[row].line;
        [
            self.corner(i, 2 * k),
            self.corner(i + 1, 2 * k),
            self.corner(i + 1, 2 * k + 2),
            self.corner(i, 2 * k + 2),
            self.middle(i, k),
            self.corner(i + 1, 2 * k + 1),
            self.middle(i, k + 1),
            self.corner(i, 2 * k + 1),
        ]
    }
    /// Radii between which a row lies.
    pub(super) fn radii(&self, row: usize) -> (f64, f64) {
        let k = self.rows[row].line;
        (self.r[k], self.r[k + 1])
    }
    /// Every cell that is there: column and row.
    pub(super) fn cells(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        (0..self.columns()).flat_map(move |i| {
            (0..self.rows.len()).filter_map(move |k| self.has(i, k).then_some((i, k)))
        })
    }
    /// Rows of a part whose cells lie between two radii.
    pub(super) fn ring(&self, part: Part, ring: (f64, f64)) -> impl Iterator<Item = usize> + '_ {
        (0..self.rows.len()).filter(move |&k| {
            let (a, b) = self.radii(k);
            let m = 0.5 * (a + b);
            self.rows[k].part == part && m > ring.0 && m < ring.1
        })
    }
    /// Columns between two places along x.
    pub(super) fn span(&self, from: f64, to: f64) -> impl Iterator<Item = usize> + '_ {
        (0..self.columns()).filter(move |&i| {
            let m = 0.5 * (self.x[i] + self.x[i + 1]);
            m > from && m < to
        })
    }
}
