//! Opening of a ring with open points: the lowest moment, in any of the [`DIRECTIONS`], at which the area in
//! contact has fallen to [`OPENED`] of that at preload.
//!
//! # Why not trial by trial
//! Under a growing moment the area is lost at one place and won at another. It may fall too far and recover
//! within a hundredth of the way, in one direction and not in those beside it. Trials however close can pass over
//! that, and what is known of one direction does not tell the next.
//!
//! # Method
//! The plane of moments, up to the lowest fall known, is cut into patches: some directions wide, from one
//! moment to another. At the corners the seat is solved. Between them the unknowns are taken from the corners
//! by straight lines, and whatever is closed at all corners is closed between them, for the deflection of a
//! point is linear in the unknowns. A patch holds no fall if the area that is closed at all its corners is
//! enough. Where it is not, the patch is looked at in pieces, and then cut, and its corners solved. What is
//! found at a corner to have fallen is narrowed and becomes the end of the search. A patch of one direction is
//! that direction alone: what lies between the directions does not count.
//!
//! The unknowns stray from the straight lines. How far, is told by the change of their pace from corner to
//! corner: all deflections are taken to be less by [`STRAY`] times what a path that bends evenly would stray
//! in its middle, and nothing at the corners. Between two directions the moment itself runs along the chord of
//! its circle; what that lacks is taken off as well.
//!
//! # What may be missed
//! A lower fall in a direction within [`CLOSE`] of the one given or of the limit, and one that hangs on a path that strays
//! farther than that between solved corners and comes back. Where a patch of [`NARROWEST`] still cannot be told
//! from a fall it counts as one, which tells the opening too low. Above [`FAR`] times the moment that the
//! preload could hold, a fall is found if it shows in one of [`AROUND`] directions at moments growing by half.
//!
//! A patch that stays so near to a fall that [`MOST`] solutions do not settle it is an error.

use super::*;

/// Share of the opening moment within which a lower one is not looked for.
const CLOSE: f64 = 2e-5;
/// The same for the first fall found, which only starts the search.
const AT_FIRST: f64 = 2e-3;
/// Directions across one of the patches to start with. This and the next three only trade one sort of work for
/// another: tuned on random seats.
const WIDE: usize = 12;
/// Share of a patch's length that is cut off at its outer end, where the area is least.
const OUTER: f64 = 0.4;
/// Pieces of a patch that are looked at before it is cut.
const LOOKS: u32 = 32;
/// A patch is cut at once if its unknowns may stray so far that this part of it would take the spare area.
const HOPE: f64 = 0.5;
/// Share of the area looked for within which the sign of what is to spare is settled by the last digits.
const SURE: f64 = 1e-3;
/// How far the path of the unknowns may stray from its chord, over an eighth of the way times the change of
/// pace, by which one that bends evenly strays. One that has a single kink strays twice as far at most; half
/// as much again is added.
const STRAY: f64 = 3.0;
/// Length of a patch, over its moment, that is not cut any more.
const NARROWEST: f64 = 1e-10;
/// Highest moments, over the one that the preload could hold: of the patches, and of the look for a first fall.
/// Common practice, no source.
const FAR: f64 = 64.0;
const FARTHEST: f64 = 1e4;
/// Directions in which a first fall is looked for where it is not found where the area sets out to fall.
const AROUND: usize = 12;
/// Solutions before giving up: ten times what any of 20526 random seats took.
const MOST: u32 = 40_000;

/// The seat at a moment.
#[derive(Debug, Clone, Copy)]
struct Spot {
    /// Moment along its direction, and as a vector (N·m).
    moment: f64,
    at: [f64; 2],
    /// Unknowns, and area in contact above the one looked for (m²).
    u: [f64; 3],
    spare: f64,
    /// Change of the unknowns and of the area with either component of the moment.
    pace: [[f64; 3]; 2],
    climb: [f64; 2],
    /// Change of the area with the approach (m).
    edge: f64,
}

impl Spot {
    /// Way to another moment.
    fn way(&self, to: [f64; 2]) -> [f64; 2] {
        [to[0] - self.at[0], to[1] - self.at[1]]
    }

    /// Change of the unknowns along a way, at the pace here.
    fn along(&self, [x, y]: [f64; 2]) -> [f64; 3] {
        std::array::from_fn(|i| x * self.pace[0][i] + y * self.pace[1][i])
    }

    /// The unknowns to expect at another moment.
    fn ahead(&self, to: [f64; 2]) -> [f64; 3] {
        let step = self.along(self.way(to));
        std::array::from_fn(|i| self.u[i] + step[i])
    }

    /// Change of the area along a way, at the rate here.
    fn rise(&self, [x, y]: [f64; 2]) -> f64 {
        x * self.climb[0] + y * self.climb[1]
    }

    /// The unknowns between this spot and another, by the cubic through both.
    fn unknowns_toward(&self, to: &Self, share: f64) -> [f64; 3] {
        let way = self.way(to.at);
        let (p, q) = (self.along(way), to.along(way));
        std::array::from_fn(|i| cubic([self.u[i], p[i]], [to.u[i], q[i]], share))
    }

    /// Area to spare between this spot and another, by the cubic through both.
    fn spare_toward(&self, to: &Self, share: f64) -> f64 {
        let way = self.way(to.at);
        cubic(
            [self.spare, self.rise(way)],
            [to.spare, to.rise(way)],
            share,
        )
    }
}

/// A part of the plane of moments: between two directions, or one alone, from a moment to another (N·m).
#[derive(Debug, Clone, Copy)]
struct Patch {
    first: usize,
    last: usize,
    from: f64,
    to: f64,
}

impl Patch {
    /// Directions between the first and the last, which belongs to the next patch.
    fn wide(&self) -> usize {
        self.last - self.first
    }

    fn is_ray(&self) -> bool {
        self.wide() == 1
    }
}

/// What is known of a patch.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Verdict {
    /// No fall lies in it.
    Holds,
    /// It must be cut, at a moment or at a direction.
    CutAlong,
    CutAcross,
    /// It reaches beyond a fall just found.
    TooFar,
}

/// A fall: its direction and the seat before and after it.
#[derive(Debug, Clone, Copy)]
struct Fall {
    direction: usize,
    low: Spot,
    high: Spot,
}

/// The search for the lowest fall.
struct Search<'a> {
    seat: &'a SeatContact,
    pre: &'a Preloaded,
    axial: f64,
    /// Area at which the seat has opened (m²), and moment that its preload could hold (N·m).
    target: f64,
    size: f64,
    still: Spot,
    /// What has been solved, by direction, all above the area looked for.
    rays: Vec<Vec<Spot>>,
    /// Where the search ends (N·m), and the fall there.
    end: f64,
    fall: Option<Fall>,
    solved: u32,
    divided: Vec<usize>,
    pieces: Vec<Piece>,
}

/// Part of a patch: directions from its first, and shares of its length.
type Piece = (usize, usize, f64, f64);

impl SeatContact {
    /// Opening of a ring with open points (N·m), where it is no more than `limit`.
    pub(super) fn area_lost(
        &self,
        pre: &Preloaded,
        axial: f64,
        limit: f64,
    ) -> Result<Option<f64>, ContactError> {
        let target = OPENED * si(pre.contact_fraction) * self.area;
        let start = Self::start(pre);
        let still = self.spot(
            &self.loaded_balance(pre, axial, 0.0, (1.0, 0.0)),
            target,
            start,
        )?;
        if still.spare <= 0.0 {
            return Ok(Some(0.0));
        }
        let ro = self.outer;
        let state = (pre.state[0], pre.state[1] / ro, pre.state[2] / ro);
        let deepest = self.panels().extreme(1.0, (self.inner, ro), state).0;
        let size = si(pre.preload) * ro + deepest.max(0.0) / ro * self.tilting;
        let mut search = Search {
            seat: self,
            pre,
            axial,
            target,
            size,
            still,
            rays: vec![Vec::new(); DIRECTIONS],
            end: limit.min(FARTHEST * size),
            fall: None,
            solved: 0,
            divided: Vec::new(),
            pieces: Vec::new(),
        };
        search.run()?;
        search.fall.map(|fall| search.pinpoint(fall)).transpose()
    }

    /// The seat under a load.
    fn spot(&self, want: &Balance, target: f64, start: [f64; 3]) -> Result<Spot, ContactError> {
        let (u, sums) = self.solve(want, start)?;
        let ro = self.outer;
        let factor = self.tangent(&sums, self.kt);
        let rate = |[z, x, y]: [f64; 3]| -> f64 {
            let edge = |s: &Sums| s.edge[0] * z + (s.edge[1] * x + s.edge[2] * y) / ro;
            let parts = self.parts.iter().zip(&sums);
            parts
                .map(|(p, s)| p.as_ref().map_or(0.0, |p| edge(s) / p.k))
                .sum()
        };
        let [x, y] = want.moment;
        let pace = [(1.0, 0.0), (0.0, 1.0)].map(|(x, y)| self.pace(factor.as_ref(), x, y));
        Ok(Spot {
            moment: x.hypot(y),
            at: want.moment,
            u,
            spare: self.touching(&sums) - target,
            pace,
            climb: pace.map(rate),
            edge: rate([1.0, 0.0, 0.0]),
        })
    }
}

impl Search<'_> {
    fn run(&mut self) -> Result<(), ContactError> {
        let [x, y] = self.still.climb;
        let soonest = (-y).atan2(-x) / TAU * DIRECTIONS as f64;
        let soonest = soonest.round().rem_euclid(DIRECTIONS as f64) as usize;
        self.first_fall(soonest)?;
        let sectors = DIRECTIONS / WIDE;
        // The next to the soonest are taken first: the sooner the search ends, the less there is to look at.
        let order = (0..sectors).map(|k| {
            if k % 2 == 0 {
                k / 2
            } else {
                sectors - 1 - k / 2
            }
        });
        let mut patches: Vec<_> = order
            .map(|k| Patch {
                first: soonest + WIDE * k,
                last: soonest + WIDE * (k + 1),
                from: 0.0,
                to: f64::INFINITY,
            })
            .collect();
        patches.reverse();
        while let Some(patch) = patches.pop() {
            let end = self.end * (1.0 - CLOSE);
            if patch.from >= end {
                continue;
            }
            let to = patch.to.min(end);
            let patch = Patch { to, ..patch };
            match self.judge(&patch)? {
                Verdict::Holds => {}
                Verdict::TooFar => patches.push(patch),
                Verdict::CutAcross => Self::cut_across(&patch, &mut patches),
                Verdict::CutAlong => self.cut_along(&patch, &mut patches)?,
            }
        }
        Ok(())
    }

    fn cut_across(patch: &Patch, patches: &mut Vec<Patch>) {
        let middle = patch.first + patch.wide() / 2;
        let (first, last) = (middle, middle);
        patches.push(Patch { first, ..*patch });
        patches.push(Patch { last, ..*patch });
    }

    fn cut_along(&mut self, patch: &Patch, patches: &mut Vec<Patch>) -> Result<(), ContactError> {
        let Patch { from, to, .. } = *patch;
        if patch.wide() > 1 && STEP * patch.wide() as f64 * to >= to - from {
            Self::cut_across(patch, patches);
            return Ok(());
        }
        if to - from <= NARROWEST * to {
            // Cannot be told from a fall.
            if let Some(spot) = self.at(patch.first, from, from)? {
                self.end = spot.moment;
                self.fall = Some(Fall {
                    direction: patch.first % DIRECTIONS,
                    low: spot,
                    high: spot,
                });
            }
            return Ok(());
        }
        let natural = from.max(0.1 * self.size);
        let middle = if to > 16.0 * natural {
            (natural * to).sqrt()
        } else {
            to - OUTER * (to - from)
        };
        let (from, to) = (middle, middle);
        patches.push(Patch { from, ..*patch });
        patches.push(Patch { to, ..*patch });
        Ok(())
    }

    /// The seat at a moment.
    fn solve(
        &mut self,
        last: f64,
        direction: usize,
        moment: f64,
        start: [f64; 3],
    ) -> Result<Spot, ContactError> {
        self.solved += 1;
        if self.solved > MOST {
            return Err(ContactError::Unsettled);
        }
        let seat = self.seat;
        let want = Balance {
            last,
            ..seat.loaded_balance(self.pre, self.axial, moment, ray(direction))
        };
        let from = |u| seat.spot(&want, self.target, u);
        from(start)
            .or_else(|_| from(SeatContact::start(self.pre)))
            .or_else(|_| from(self.still.u))
            // Integrals good to the last digit find their way where those good enough in general go astray.
            .or_else(|_| {
                let want = Balance {
                    quick: false,
                    ..want
                };
                seat.spot(&want, self.target, self.still.u)
            })
            .or_else(|_| self.led(&want, direction, moment))
    }

    /// The seat at a moment that no guess leads to: led there from no moment in small steps.
    fn led(&self, want: &Balance, direction: usize, moment: f64) -> Result<Spot, ContactError> {
        const STEPS: usize = 64;
        let mut u = self.still.u;
        for k in 1..STEPS {
            let moment = moment * k as f64 / STEPS as f64;
            let on_the_way = Balance {
                quick: false,
                ..self
                    .seat
                    .loaded_balance(self.pre, self.axial, moment, ray(direction))
            };
            u = self.seat.solve(&on_the_way, u)?.0;
        }
        let want = Balance {
            quick: false,
            ..*want
        };
        self.seat.spot(&want, self.target, u)
    }

    /// The same, where the sign of the spare area must be right.
    fn closely(
        &mut self,
        direction: usize,
        moment: f64,
        start: [f64; 3],
    ) -> Result<Spot, ContactError> {
        let found = self.solve(SWEEP, direction, moment, start)?;
        if found.spare.abs() < SURE * self.target {
            return self.solve(0.0, direction, moment, found.u);
        }
        Ok(found)
    }

    /// Some fall, so that the search has an end: where the area sets out to fall soonest, or else under growing
    /// moments all around.
    fn first_fall(&mut self, soonest: usize) -> Result<(), ContactError> {
        let mut low = self.still;
        for _ in 0..6 {
            let rate = low.rise(ray(soonest).into());
            let next = low.moment - low.spare / rate;
            if !(rate < 0.0 && next < self.end) {
                break;
            }
            let longest = low.moment.max(0.1 * self.size);
            let stride = (1.05 * (next - low.moment)).clamp(longest / 64.0, longest);
            let moment = (low.moment + stride).min(self.end);
            let high = self.closely(soonest, moment, low.ahead(on(soonest, moment)))?;
            if high.spare <= 0.0 {
                return self.lower(soonest, low, high, AT_FIRST);
            }
            low = high;
        }
        if self.end <= FAR * self.size {
            return Ok(());
        }
        let mut lows = [self.still; AROUND];
        let mut moment = 0.1 * self.size;
        while moment < self.end {
            for (k, low) in lows.iter_mut().enumerate() {
                let direction = (soonest + DIRECTIONS / AROUND * k) % DIRECTIONS;
                let start = low.ahead(on(direction, moment));
                let high = self.closely(direction, moment, start)?;
                if high.spare <= 0.0 {
                    return self.lower(direction, *low, high, AT_FIRST);
                }
                *low = high;
            }
            moment *= 1.5;
        }
        self.end = FAR * self.size;
        Ok(())
    }

    /// Ends the search at a fall between two spots.
    fn lower(
        &mut self,
        direction: usize,
        low: Spot,
        high: Spot,
        close: f64,
    ) -> Result<(), ContactError> {
        let (low, high) = self.narrow(direction, low, high, close)?;
        if low.moment > 0.0 {
            self.rays[direction].push(low);
        }
        self.end = high.moment;
        self.fall = Some(Fall {
            direction,
            low,
            high,
        });
        Ok(())
    }

    /// The seat at a moment between `least` and `most` in a direction; nothing where the area has fallen too
    /// far, which is then where the search ends.
    fn at(
        &mut self,
        direction: usize,
        least: f64,
        most: f64,
    ) -> Result<Option<Spot>, ContactError> {
        if least <= 0.0 {
            return Ok(Some(self.still));
        }
        let direction = direction % DIRECTIONS;
        let known = |s: &&Spot| s.moment >= least && s.moment <= most;
        if let Some(spot) = self.rays[direction].iter().find(known) {
            return Ok(Some(*spot));
        }
        let at = on(direction, least);
        let start = self.start(direction, at);
        let spot = self.closely(direction, least, start)?;
        if spot.spare > 0.0 {
            self.rays[direction].push(spot);
            return Ok(Some(spot));
        }
        let mut low = self.still;
        for spot in &self.rays[direction] {
            if spot.moment < least && spot.moment > low.moment {
                low = *spot;
            }
        }
        self.lower(direction, low, spot, CLOSE)?;
        Ok(None)
    }

    /// Unknowns to expect at a moment: between two spots of its direction, or else from the nearest spot in this
    /// direction and in some beside it.
    fn start(&self, direction: usize, at: [f64; 2]) -> [f64; 3] {
        let moment = at[0].hypot(at[1]);
        let (mut low, mut high) = (&self.still, None);
        for spot in &self.rays[direction] {
            if spot.moment >= moment {
                if high.is_none_or(|h: &Spot| spot.moment < h.moment) {
                    high = Some(spot);
                }
            } else if spot.moment > low.moment {
                low = spot;
            }
        }
        if let Some(high) = high {
            return low.unknowns_toward(high, (moment - low.moment) / (high.moment - low.moment));
        }
        let far = |spot: &Spot| {
            let [x, y] = spot.way(at);
            x.hypot(y)
        };
        let mut nearest = low;
        for off in [1, 2, 3, 6, 12] {
            for beside in [direction + off, direction + DIRECTIONS - off] {
                for spot in &self.rays[beside % DIRECTIONS] {
                    if far(spot) < far(nearest) {
                        nearest = spot;
                    }
                }
            }
        }
        nearest.ahead(at)
    }

    /// The seat between two spots of one direction.
    fn between(
        &mut self,
        last: f64,
        direction: usize,
        (low, high): (&Spot, &Spot),
        moment: f64,
    ) -> Result<Spot, ContactError> {
        let width = high.moment - low.moment;
        let moment = moment.clamp(low.moment + 1e-3 * width, high.moment - 1e-3 * width);
        let start = low.unknowns_toward(high, (moment - low.moment) / width);
        if last > 0.0 {
            self.closely(direction, moment, start)
        } else {
            self.solve(last, direction, moment, start)
        }
    }

    /// Narrows a fall until its ends are no farther apart than a share of the moment.
    fn narrow(
        &mut self,
        direction: usize,
        mut low: Spot,
        mut high: Spot,
        close: f64,
    ) -> Result<(Spot, Spot), ContactError> {
        for round in 1..=100 {
            let (width, close) = (high.moment - low.moment, close * high.moment);
            if width <= close {
                break;
            }
            let crossing = crossing(&low, &high);
            // A little toward the farther end, so that both come near; halving now and then ends what does not.
            let next = if round % 4 == 0 {
                low.moment + 0.5 * width
            } else if crossing - low.moment > high.moment - crossing {
                crossing - 0.4 * close
            } else {
                crossing + 0.4 * close
            };
            let found = self.between(SWEEP, direction, (&low, &high), next)?;
            if found.spare > 0.0 {
                low = found;
            } else {
                high = found;
            }
        }
        Ok((low, high))
    }

    /// The moment of a fall (N·m).
    fn pinpoint(&mut self, fall: Fall) -> Result<f64, ContactError> {
        let Fall {
            direction,
            mut low,
            mut high,
        } = fall;
        for round in 1..=100 {
            let width = high.moment - low.moment;
            if width <= 1e-13 * high.moment {
                break;
            }
            let next = if round % 4 == 0 {
                low.moment + 0.5 * width
            } else {
                crossing(&low, &high)
            };
            let found = self.between(0.0, direction, (&low, &high), next)?;
            if found.spare.abs() <= 1e-10 * self.target {
                return Ok(found.moment);
            }
            if found.spare > 0.0 {
                low = found;
            } else {
                high = found;
            }
        }
        Ok(high.moment)
    }

    /// Does the area stay above the one looked for all over a patch?
    fn judge(&mut self, patch: &Patch) -> Result<Verdict, ContactError> {
        let Patch {
            first,
            last,
            from,
            to,
        } = *patch;
        // A spot solved a little beyond serves as well.
        let beyond = to + 0.1 * (to - from);
        let mut corners = [[self.still; 2]; 2];
        let directions = if patch.is_ray() {
            &[first][..]
        } else {
            &[first, last]
        };
        for (corner, &direction) in corners.iter_mut().zip(directions) {
            for (spot, (least, most)) in corner.iter_mut().zip([(from, from), (to, beyond)]) {
                match self.at(direction, least, most)? {
                    Some(found) => *spot = found,
                    None => return Ok(Verdict::TooFar),
                }
            }
        }
        if patch.is_ray() {
            corners[1] = corners[0];
        }
        let sheet = Sheet::new(corners, patch.wide());
        Ok(match sheet.hopeless() {
            Some(verdict) => verdict,
            None if self.closed_all_over(&sheet, patch) => Verdict::Holds,
            None => Verdict::CutAlong,
        })
    }

    /// Is enough closed all over a patch? Piece by piece, for the less is turned over in a piece, and the less
    /// its path strays, the more of its corners' areas they have in common.
    fn closed_all_over(&mut self, sheet: &Sheet, patch: &Patch) -> bool {
        let (panels, parts, ro) = (self.seat.panels(), &self.seat.parts, self.seat.outer);
        let base = self.pre.state[0];
        let wide = patch.wide();
        let corner = |i: usize, s: f64, off: f64| {
            let [z, x, y] = sheet.state(i, s);
            [base + z - off, x / ro, y / ro]
        };
        let most = 2.0 * (sheet.along + sheet.across);
        let (divided, pieces) = (&mut self.divided, &mut self.pieces);
        let whole = if patch.is_ray() {
            let states = [corner(0, 0.0, 0.0), corner(0, 1.0, 0.0)];
            panels.overlap(parts, &states, most, divided)
        } else {
            let [i, k] = [0, wide];
            let states = [(i, 0.0), (i, 1.0), (k, 0.0), (k, 1.0)].map(|(i, s)| corner(i, s, 0.0));
            panels.overlap(parts, &states, most, divided)
        };
        pieces.clear();
        pieces.push((0, wide, 0.0, 1.0));
        let mut looks = 0;
        while let Some((i, k, s, t)) = pieces.pop() {
            looks += 1;
            if looks > LOOKS {
                return false;
            }
            let off =
                |i, s| sheet.strays(i, s) + sheet.sags(if k - i == 1 { 0 } else { k - i }, t - s);
            let at = |i, s| corner(i, s, off(i, s));
            let area = if k - i == 1 {
                panels.overlap_in(parts, &[at(i, s), at(i, t)], divided)
            } else {
                panels.overlap_in(parts, &[at(i, s), at(i, t), at(k, s), at(k, t)], divided)
            };
            if whole + area >= self.target {
                continue;
            }
            let length = patch.to - patch.from;
            let turn = STEP * (k - i) as f64 * (patch.from + t * length);
            if k - i > 1 && turn >= (t - s) * length {
                let middle = i + (k - i) / 2;
                pieces.extend([(middle, k, s, t), (i, middle, s, t)]);
            } else {
                let middle = 0.5 * (s + t);
                pieces.extend([(i, k, s, middle), (i, k, middle, t)]);
            }
        }
        true
    }
}

/// The unknowns over a patch, from its corners by straight lines.
struct Sheet {
    /// Inner and outer corner of the first and of the last direction.
    corners: [[Spot; 2]; 2],
    wide: usize,
    /// How far the path may stray from that (m, the ring's points all alike), in the middle of the way along the
    /// moment and in the middle between the directions.
    along: f64,
    across: f64,
}

impl Sheet {
    fn new(corners: [[Spot; 2]; 2], wide: usize) -> Self {
        let [[a, b], [c, d]] = corners;
        let strays = |a: &Spot, b: &Spot| {
            let way = a.way(b.at);
            let (p, q) = (a.along(way), b.along(way));
            STRAY / 8.0 * deflection(std::array::from_fn(|i| q[i] - p[i]))
        };
        let mut sheet = Self {
            corners,
            wide,
            along: strays(&a, &b),
            across: 0.0,
        };
        if wide > 1 {
            sheet.along = sheet.along.max(strays(&c, &d));
            // The moment along the chord lacks that share of its length in the middle, and is off to the side
            // where one corner lies farther out than the other.
            let turn = STEP * wide as f64;
            let lacks = 1.0 - (0.5 * turn).cos();
            let aside = 0.25 * turn * (b.moment / d.moment - 1.0).abs();
            let whole = |s: &Spot| deflection(s.along(s.at));
            let most = [a, b, c, d].iter().map(whole).fold(0.0, f64::max);
            sheet.across = strays(&a, &c).max(strays(&b, &d)) + (lacks + aside) * most;
        }
        sheet
    }

    /// Would the area fall too far, as it is told by cubics, where the path strays as far as it may? Then
    /// there is no use in looking closer.
    fn hopeless(&self) -> Option<Verdict> {
        let [[a, b], [c, d]] = &self.corners;
        let edge = |a: &Spot, b: &Spot, s: f64| a.edge + s * (b.edge - a.edge);
        for [a, b] in &self.corners[..self.wide.min(2)] {
            for s in [0.25, 0.5, 0.75] {
                if HOPE * a.spare_toward(b, s) < hump(s) * self.along * edge(a, b, s) {
                    return Some(Verdict::CutAlong);
                }
            }
        }
        if self.wide > 1 {
            let less = |a: &Spot, b: &Spot| a.spare_toward(b, 0.5) - 0.5 * (a.spare + b.spare);
            let (inner, outer) = (less(a, c), less(b, d));
            for s in [0.25, 0.5, 0.75, 1.0] {
                let spare = 0.5 * (a.spare_toward(b, s) + c.spare_toward(d, s));
                let spare = spare + inner + s * (outer - inner);
                let edge = 0.5 * (edge(a, b, s) + edge(c, d, s));
                if HOPE * spare < (hump(s) * self.along + self.across) * edge {
                    return Some(if self.across > 0.5 * self.along || s == 1.0 {
                        Verdict::CutAcross
                    } else {
                        Verdict::CutAlong
                    });
                }
            }
        }
        None
    }

    /// The unknowns some directions from the first, at a share of the way along the moment.
    fn state(&self, i: usize, s: f64) -> [f64; 3] {
        // Where the chord between the directions meets the one asked for.
        let near = (STEP * i as f64).sin();
        let share = near / (near + (STEP * (self.wide - i) as f64).sin());
        let [[a, b], [c, d]] = &self.corners;
        std::array::from_fn(|n| {
            let first = a.u[n] + s * (b.u[n] - a.u[n]);
            let last = c.u[n] + s * (d.u[n] - c.u[n]);
            first + share * (last - first)
        })
    }

    /// How far the path may stray there (m).
    fn strays(&self, i: usize, s: f64) -> f64 {
        self.along * hump(s) + self.across * hump(i as f64 / self.wide as f64)
    }

    /// How far that bulges beyond straight lines over a piece so many directions wide and so long.
    fn sags(&self, wide: usize, long: f64) -> f64 {
        let wide = wide as f64 / self.wide as f64;
        self.along * long * long + self.across * wide * wide
    }
}

/// Angle between two directions (rad).
const STEP: f64 = TAU / DIRECTIONS as f64;

/// Nothing at the ends of a way, 1 in its middle.
fn hump(s: f64) -> f64 {
    4.0 * s * (1.0 - s)
}

/// The most that a change of the unknowns deflects any point of the ring (m).
fn deflection([z, x, y]: [f64; 3]) -> f64 {
    z.abs() + x.hypot(y)
}

/// Cosine and sine of a direction.
fn ray(direction: usize) -> (f64, f64) {
    let (s, c) = angle(direction).sin_cos();
    (c, s)
}

/// A moment in a direction (N·m).
fn on(direction: usize, moment: f64) -> [f64; 2] {
    let (c, s) = ray(direction);
    [moment * c, moment * s]
}

/// Moment at which the cubic through both ends of a fall falls through 0 (N·m).
fn crossing(low: &Spot, high: &Spot) -> f64 {
    let way = low.way(high.at);
    let (from, to) = ([low.spare, low.rise(way)], [high.spare, high.rise(way)]);
    let rise = to[0] - from[0];
    let bend = 3.0 * rise - 2.0 * from[1] - to[1];
    let twist = from[1] + to[1] - 2.0 * rise;
    let (mut before, mut after) = (0.0, 1.0);
    let mut t = -from[0] / rise;
    for _ in 0..60 {
        let value = cubic(from, to, t);
        if value > 0.0 {
            before = t;
        } else {
            after = t;
        }
        let slope = from[1] + t * (2.0 * bend + t * 3.0 * twist);
        let mut next = t - value / slope;
        if !(next > before && next < after) {
            next = 0.5 * (before + after);
        }
        if (next - t).abs() < 1e-14 {
            break;
        }
        t = next;
    }
    low.moment + t * (high.moment - low.moment)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A spot whose unknowns and area to spare, with their change, are functions of the moment.
    fn spot(at: [f64; 2], u: [f64; 3], pace: [[f64; 3]; 2], spare: f64, climb: [f64; 2]) -> Spot {
        Spot {
            moment: at[0].hypot(at[1]),
            at,
            u,
            spare,
            pace,
            climb,
            edge: 1.0,
        }
    }

    fn near(got: f64, want: f64) {
        assert!((got - want).abs() < 1e-12, "{got} not {want}");
    }

    /// The cubic through both ends is the area itself where that is a cubic.
    #[test]
    fn a_cubic_is_crossed_where_it_falls_through_nothing() {
        for root in [0.6f64, 1.0, 1.4] {
            let at = |m: f64| {
                spot(
                    on(5, m),
                    [0.0; 3],
                    [[0.0; 3]; 2],
                    root.powi(3) - m.powi(3),
                    on(5, -3.0 * m * m),
                )
            };
            near(crossing(&at(0.5), &at(1.5)), root);
            near(at(0.5).spare_toward(&at(1.5), 0.3), root.powi(3) - 0.512);
        }
    }

    /// Slopes that throw Newton's way out of the ends: the crossing stays between them and is one.
    #[test]
    fn a_crossing_lies_between_its_ends() {
        for first in [-40.0, -3.0, 0.0, 3.0, 40.0] {
            for last in [-40.0, -3.0, 0.0, 3.0, 40.0] {
                let end = |m: f64, spare: f64, climb: f64| {
                    spot(on(5, m), [0.0; 3], [[0.0; 3]; 2], spare, on(5, climb))
                };
                for less in [0.01, 1.0, 100.0] {
                    let (low, high) = (end(2.0, 1.0, first), end(3.0, -less, last));
                    let m = crossing(&low, &high);
                    assert!(m > 2.0 && m < 3.0, "{first} {last} {less}: {m}");
                    let left = low.spare_toward(&high, m - 2.0);
                    assert!(
                        left.abs() < 1e-9 * less.max(1.0),
                        "{first} {last} {less}: {left}"
                    );
                }
            }
        }
    }

    /// Unknowns that are the moment itself: between the corners they lie on the ray asked for.
    #[test]
    fn between_the_corners_lies_the_direction_asked_for() {
        let corner = |direction: usize, moment: f64| {
            let [x, y] = on(direction, moment);
            spot(
                [x, y],
                [x, y, 1.0],
                [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]],
                1.0,
                [0.0; 2],
            )
        };
        let wide = 6;
        let sheet = Sheet::new(
            [
                [corner(0, 1.0), corner(0, 3.0)],
                [corner(wide, 1.0), corner(wide, 3.0)],
            ],
            wide,
        );
        for i in 0..=wide {
            // The chord is the nearer to the middle the closer to its own.
            let half = STEP * wide as f64 / 2.0;
            let chord = half.cos() / (STEP * i as f64 - half).cos();
            for s in [0.0, 0.25, 1.0] {
                let [x, y, z] = sheet.state(i, s);
                near(y.atan2(x), STEP * i as f64);
                near(x.hypot(y), chord * (1.0 + 2.0 * s));
                near(z, 1.0);
            }
        }
        // Straight lines do not stray along the moment, but the chord lacks something of the circle.
        near(sheet.strays(0, 0.5), 0.0);
        assert!(sheet.strays(wide / 2, 0.0) > 3.0 * (1.0 - (STEP * wide as f64 / 2.0).cos()));
    }

    /// A path that bends evenly strays by an eighth of its change of pace in its middle, a quarter of that over half
    /// the way; the sheet allows [`STRAY`] times as much.
    #[test]
    fn a_sheet_allows_for_what_bends() {
        let bend = 0.4;
        let corner = |direction: usize, m: f64| {
            let (c, s) = ray(direction);
            let rate = bend * m;
            spot(
                on(direction, m),
                [0.5 * bend * m * m, 0.0, 0.0],
                [[rate * c, 0.0, 0.0], [rate * s, 0.0, 0.0]],
                1.0,
                [0.0; 2],
            )
        };
        let ends = [corner(0, 1.0), corner(0, 3.0)];
        let alone = Sheet::new([ends, ends], 1);
        let strays = bend * 4.0 / 8.0;
        let middle = 0.5 * (ends[0].u[0] + ends[1].u[0]) - 0.5 * bend * 4.0;
        near(middle, strays);
        near(alone.strays(0, 0.5), STRAY * strays);
        near(alone.strays(0, 0.0), 0.0);
        near(alone.sags(0, 1.0), STRAY * strays);
        near(alone.sags(0, 0.5), STRAY * strays / 4.0);
        // Both ways of straying add, over half the way and half the directions by a quarter.
        let sheet = Sheet::new([ends, [corner(4, 1.0), corner(4, 3.0)]], 4);
        assert!(sheet.along >= STRAY * strays && sheet.across > 0.0);
        let whole = sheet.sags(4, 1.0);
        near(whole, sheet.strays(2, 0.5));
        near(sheet.sags(2, 0.5), whole / 4.0);
        near(sheet.sags(0, 1.0) + sheet.sags(4, 0.0), whole);
        near(deflection([-3.0, 3.0, -4.0]), 8.0);
    }
}
