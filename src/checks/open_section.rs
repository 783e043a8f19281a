//! A section that an opening cuts, in torsion: how it warps, and what shear flows through it where it must not.
//!
//! Solved on square cells of a fifth of the mean wall: the warping of de Saint-Venant's torsion, which gives the torsion
//! constant; the sectorial coordinate ω, which is that warping less a plane, so that it neither pulls nor bends; and the shear
//! that goes with a bimoment. Vlasov's theory of thin-walled bars, textbook, from memory. Cells that an outline cuts count by their metal,
//! and each side of a cell by the metal on it, so that slanting walls are as thick as upright ones. Of a slit tube with a wall of five
//! cells this finds the torsion constant within 4 %, and what warping gives within 3 %.

use super::plane_section::Piece;

/// Cells across the mean wall.
const ACROSS: f64 = 5.0;

/// Cells along the longer side of the section, at most.
const ALONG: f64 = 250.0;

/// When the sums of cells count as solved: their error over the load.
const SOLVED: f64 = 1e-7;

/// What torsion asks of a section; all for a twist about the origin of its cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OpenSection {
    /// Torsion constant J, mm⁴.
    pub(super) torsion: f64,
    /// Greatest shear stress over G times the twist of a unit of length, where it may warp freely, mm.
    pub(super) thickness: f64,
    /// Warping constant Iω, mm⁶.
    pub(super) warping: f64,
    /// Greatest sectorial coordinate ω, mm².
    pub(super) reach: f64,
    /// Greatest shear stress under a torque that warping bears is this, in mm³, times the torque over Iω.
    pub(super) flow: f64,
    /// Shear centre: a force through it does not twist the section, mm.
    pub(super) centre: [f64; 2],
}

impl OpenSection {
    /// The section with these pieces, whose mean wall is known; `None` where it is too small for the cells to tell.
    pub(super) fn of(pieces: &[Piece], wall: f64) -> Option<Self> {
        let cells = Cells::of(pieces, wall)?;
        let twist: Vec<f64> = cells.links.iter().map(|link| link.turned).collect();
        // The warping works against the turn of each link.
        let load: Vec<f64> = twist.iter().map(|t| -t).collect();
        let warped = cells.solve(&cells.gathered(&load))?;
        let strains: Vec<f64> = cells.differences(&warped).iter().zip(&twist).map(|(d, t)| d + t).collect();
        let torsion = strains.iter().zip(&cells.links).map(|(s, link)| link.share * s * s).sum();
        let (sectorial, centre) = cells.without_plane(&warped)?;
        let size = cells.size;
        let each = || sectorial.iter().zip(&cells.metal).map(|(w, metal)| (w, metal * size * size));
        let warping = each().map(|(w, area)| w * w * area).sum();
        let pushed = cells.solve(&each().map(|(w, area)| w * area).collect::<Vec<_>>())?;
        // Free torsion grows across the wall, whose outermost cells are known in their middles only.
        let outermost = if wall > 2.0 * size { wall / (wall - size) } else { 2.0 };
        let found = Self {
            torsion,
            thickness: outermost * cells.greatest(&strains) / size,
            warping,
            reach: sectorial.iter().fold(0.0, |most, w| most.max(w.abs())),
            flow: cells.greatest(&cells.differences(&pushed)) / size,
            centre,
        };
        (found.torsion > 0.0 && found.warping > 0.0).then_some(found)
    }
}

/// Least share of a side that links two cells.
const LINKS: f64 = 0.02;

/// Least share of metal of a cell whose stress counts.
const COUNTS: f64 = 0.5;

/// Two neighbouring cells.
struct Link {
    ends: [usize; 2],
    /// The axis from the first to the second.
    axis: usize,
    /// Share of the side between them that lies in metal.
    share: f64,
    /// How far a twist of one turns the second cell ahead of the first, along the link times its length.
    turned: f64,
}

/// The cells of a section that hold metal.
struct Cells {
    size: f64,
    middles: Vec<[f64; 2]>,
    /// Share of each cell that is metal.
    metal: Vec<f64>,
    links: Vec<Link>,
}

impl Cells {
    fn of(pieces: &[Piece], wall: f64) -> Option<Self> {
        let mut ends = [[f64::MAX, f64::MIN]; 2];
        for p in pieces.iter().flatten() {
            for k in 0..2 {
                ends[k] = [ends[k][0].min(p[k]), ends[k][1].max(p[k])];
            }
        }
        let longer = ends.iter().map(|[low, high]| high - low).fold(0.0, f64::max);
        let size = (wall / ACROSS).max(longer / ALONG);
        if !(size > 0.0 && longer.is_finite()) {
            return None;
        }
        let [across, up] = ends.map(|[low, high]| ((high - low) / size).ceil() as usize);
        let grid = Grid { origin: [ends[0][0], ends[1][0]], size, pieces };
        let mut out = Self { size, middles: Vec::new(), metal: Vec::new(), links: Vec::new() };
        let mut numbers: Vec<Option<usize>> = vec![None; across * up];
        for j in 0..up {
            for (i, metal) in grid.metal(j, across).into_iter().enumerate().filter(|(_, metal)| *metal > 0.0)
            {
                numbers[j * across + i] = Some(out.middles.len());
                out.middles.push([grid.place(0, i as f64 + 0.5), grid.place(1, j as f64 + 0.5)]);
                out.metal.push(metal);
            }
        }
        let cell = |i: usize, j: usize| numbers[j * across + i];
        for i in 1..across {
            for (j, (share, along)) in grid.sides(0, i, up).into_iter().enumerate() {
                out.link([cell(i - 1, j), cell(i, j)], 0, share, -along);
            }
        }
        for j in 1..up {
            for (i, (share, along)) in grid.sides(1, j, across).into_iter().enumerate() {
                out.link([cell(i, j - 1), cell(i, j)], 1, share, along);
            }
        }
        (out.middles.len() > 2).then_some(out)
    }

    fn link(&mut self, ends: [Option<usize>; 2], axis: usize, share: f64, turn: f64) {
        if let [Some(a), Some(b)] = ends
            && share > LINKS
        {
            self.links.push(Link { ends: [a, b], axis, share, turned: self.size * turn });
        }
    }

    /// The difference of each link's ends.
    fn differences(&self, of: &[f64]) -> Vec<f64> {
        self.links.iter().map(|link| of[link.ends[1]] - of[link.ends[0]]).collect()
    }

    /// What the links bring to each cell: the transpose of [`Self::differences`].
    fn gathered(&self, of: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.middles.len()];
        for (link, value) in self.links.iter().zip(of) {
            out[link.ends[0]] -= link.share * value;
            out[link.ends[1]] += link.share * value;
        }
        out
    }

    /// Solves for the values whose differences, gathered, are this load, by conjugate gradients with each cell's own shares as a scale;
    /// each piece of connected cells takes loads that add up to nothing. `None` where that does not converge.
    fn solve(&self, load: &[f64]) -> Option<Vec<f64>> {
        let mut own = vec![0.0; load.len()];
        for link in &self.links {
            link.ends.into_iter().for_each(|cell| own[cell] += link.share);
        }
        // A cell without links bears nothing.
        let scaled = |rest: &[f64]| -> Vec<f64> {
            rest.iter().zip(&own).map(|(r, own)| if *own > 0.0 { r / own } else { 0.0 }).collect()
        };
        let mut rest: Vec<f64> =
            load.iter().zip(&own).map(|(q, own)| if *own > 0.0 { *q } else { 0.0 }).collect();
        let wanted = SOLVED * SOLVED * dot(&rest, &rest);
        let mut out = vec![0.0; rest.len()];
        let mut way = scaled(&rest);
        let mut left = dot(&rest, &way);
        for _ in 0..20 * self.middles.len() {
            if dot(&rest, &rest) <= wanted {
                return Some(out);
            }
            let pulled = self.gathered(&self.differences(&way));
            let step = left / dot(&way, &pulled);
            for (i, pull) in pulled.iter().enumerate() {
                out[i] += step * way[i];
                rest[i] -= step * pull;
            }
            let next = scaled(&rest);
            let energy = dot(&rest, &next);
            way.iter_mut().zip(&next).for_each(|(way, next)| *way = next + energy / left * *way);
            left = energy;
        }
        None
    }

    /// Values less the plane that leaves them without a sum and without first moments, and the shear centre that the plane's slopes
    /// tell. Pieces that do not touch slide along each other freely, so each has a mean of its own.
    fn without_plane(&self, of: &[f64]) -> Option<(Vec<f64>, [f64; 2])> {
        let pieces = self.connected();
        let centred = |values: Vec<f64>| {
            let mut sums = vec![(0.0, 0.0); pieces.len()];
            for ((value, piece), metal) in values.iter().zip(&pieces).zip(&self.metal) {
                sums[*piece].0 += metal * value;
                sums[*piece].1 += metal;
            }
            values.iter().zip(&pieces).map(|(v, p)| v - sums[*p].0 / sums[*p].1).collect::<Vec<f64>>()
        };
        let value = centred(of.to_vec());
        let [y, z] = [0, 1].map(|k| centred(self.middles.iter().map(|m| m[k]).collect()));
        let dot = |a: &[f64], b: &[f64]| {
            a.iter().zip(b).zip(&self.metal).map(|((a, b), metal)| metal * a * b).sum::<f64>()
        };
        let (yy, zz, yz) = (dot(&y, &y), dot(&z, &z), dot(&y, &z));
        let (vy, vz) = (dot(&value, &y), dot(&value, &z));
        let determinant = yy * zz - yz * yz;
        if determinant <= 0.0 {
            return None;
        }
        let slopes = [(vy * zz - vz * yz) / determinant, (vz * yy - vy * yz) / determinant];
        let left = value.iter().zip(y.iter().zip(&z)).map(|(v, (y, z))| v - slopes[0] * y - slopes[1] * z);
        // Turning about (a, b) instead of the origin takes b y − a z off the warping.
        Some((left.collect(), [-slopes[1], slopes[0]]))
    }

    /// For each cell the least number of a cell that it hangs together with.
    fn connected(&self) -> Vec<usize> {
        let mut least: Vec<usize> = (0..self.middles.len()).collect();
        let root = |least: &[usize], mut cell: usize| {
            while least[cell] != cell {
                cell = least[cell];
            }
            cell
        };
        for link in &self.links {
            let [a, b] = link.ends.map(|cell| root(&least, cell));
            least[a.max(b)] = a.min(b);
        }
        (0..least.len()).map(|cell| root(&least, cell)).collect()
    }

    /// The greatest length of the vectors whose parts along both axes are the means of each cell's links.
    fn greatest(&self, of_links: &[f64]) -> f64 {
        let mut sums = vec![[(0.0, 0.0); 2]; self.middles.len()];
        for (link, value) in self.links.iter().zip(of_links) {
            for cell in link.ends {
                sums[cell][link.axis].0 += link.share * value;
                sums[cell][link.axis].1 += link.share;
            }
        }
        let mean = |(sum, count): (f64, f64)| if count > 0.0 { sum / count } else { 0.0 };
        let counted = sums.into_iter().zip(&self.metal).filter(|(_, metal)| **metal >= COUNTS);
        counted.map(|([a, b], _)| mean(a).hypot(mean(b))).fold(0.0, f64::max)
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The grid of the cells over a section's outlines.
struct Grid<'p> {
    origin: [f64; 2],
    size: f64,
    pieces: &'p [Piece],
}

/// Lines in a row of cells on which their metal is measured.
const LINES: usize = 4;

impl Grid<'_> {
    fn place(&self, axis: usize, cells: f64) -> f64 {
        self.origin[axis] + self.size * cells
    }

    /// The share of metal of each cell in a row.
    fn metal(&self, row: usize, count: usize) -> Vec<f64> {
        let mut out = vec![0.0; count];
        for line in 0..LINES {
            let level = self.place(1, row as f64 + (line as f64 + 0.5) / LINES as f64);
            for (sum, (share, _)) in out.iter_mut().zip(self.covered(1, level, count)) {
                *sum += share / LINES as f64;
            }
        }
        out
    }

    /// Of the sides on a line of the grid square to an axis: the share in metal, and the middle of that along the line.
    fn sides(&self, axis: usize, line: usize, count: usize) -> Vec<(f64, f64)> {
        self.covered(axis, self.place(axis, line as f64), count)
    }

    /// Of each cell's length on a line at a level of an axis: the share in metal, and the middle of that along the line.
    fn covered(&self, axis: usize, level: f64, count: usize) -> Vec<(f64, f64)> {
        let other = 1 - axis;
        let crossed = self.pieces.iter().filter(|[a, b]| (a[axis] > level) != (b[axis] > level));
        let at = |[a, b]: &Piece| a[other] + (b[other] - a[other]) * (level - a[axis]) / (b[axis] - a[axis]);
        let mut ends: Vec<f64> = crossed.map(at).collect();
        ends.sort_by(f64::total_cmp);
        let mut out = vec![(0.0, 0.0); count];
        for span in ends.chunks_exact(2) {
            let cell = |place: f64| ((place - self.origin[other]) / self.size).floor().max(0.0) as usize;
            let [first, last] = [span[0], span[1]].map(cell);
            for (i, (share, along)) in out.iter_mut().enumerate().take(last + 1).skip(first) {
                let low = span[0].max(self.place(other, i as f64));
                let high = span[1].min(self.place(other, i as f64 + 1.0));
                let covered = ((high - low) / self.size).max(0.0);
                *share += covered;
                *along += covered * 0.5 * (low + high);
            }
        }
        for (share, along) in &mut out {
            *along = if *share > 0.0 { *along / *share } else { 0.0 };
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn outline(corners: &[[f64; 2]]) -> Vec<Piece> {
        (0..corners.len()).map(|i| [corners[i], corners[(i + 1) % corners.len()]]).collect()
    }

    fn near(what: &str, value: f64, want: f64, share: f64) {
        assert!((value / want - 1.0).abs() < share, "{what}: {value} for {want}");
    }

    /// A round tube of radius r and wall t, slit open below over ±0.02 rad, so of half angle a = π − 0.02: J = 2 a r t³ / 3, greatest
    /// stress t G φ', Iω = 2 t r⁵ / 3 (a³ − 6 (sin a − a cos a)² / (a − sin a cos a)), shear centre e = 2 r (sin a − a cos a) /
    /// (a − sin a cos a) from the middle, away from the slit, where ω is r² a − r e sin a. Textbook theory of thin walls, from memory.
    #[test]
    fn a_slit_tube_warps_as_textbooks_say() {
        let (r, t): (f64, f64) = (50.0, 4.0);
        let arc = |radius: f64| {
            (0..=720).map(move |i| {
                let angle = -0.5 * PI + 0.02 + (2.0 * PI - 0.04) * f64::from(i) / 720.0;
                [radius * angle.cos(), radius * angle.sin()]
            })
        };
        let mut corners: Vec<[f64; 2]> = arc(r + 0.5 * t).collect();
        corners.extend(arc(r - 0.5 * t).collect::<Vec<_>>().into_iter().rev());
        let found = OpenSection::of(&outline(&corners), t).expect("a section");
        let a = PI - 0.02;
        let (turned, open) = (a.sin() - a * a.cos(), a - a.sin() * a.cos());
        let warping = 2.0 / 3.0 * t * r.powi(5) * (a.powi(3) - 6.0 * turned * turned / open);
        let centre = 2.0 * r * turned / open;
        near("warping constant", found.warping, warping, 0.03);
        near("sectorial coordinate", found.reach, r * r * a - r * centre * a.sin(), 0.03);
        near("shear centre", found.centre[1], centre, 0.02);
        assert!(found.centre[0].abs() < 0.02 * r, "{found:?}");
        near("torsion constant", found.torsion, 2.0 / 3.0 * a * r * t.powi(3), 0.04);
        // Inner corners bear more than plain walls, and none less is told.
        assert!(
            found.thickness > 0.97 * t && found.thickness < 1.25 * t,
            "free torsion: {}",
            found.thickness
        );
    }

    /// A channel of height h, flanges b and wall t: Iω = t b³ h² (3 b + 2 h) / (12 (6 b + h)), shear centre 3 b² / (6 b + h) behind
    /// its web; a shear stress of warping up to half the flange's greatest first sectorial moment. Textbook theory of thin walls, from memory.
    #[test]
    fn a_channel_warps_as_textbooks_say() {
        let (h, b, t): (f64, f64, f64) = (100.0, 50.0, 4.0);
        let (top, web) = (0.5 * (h + t), -0.5 * t);
        let corners = [
            [web, -top],
            [b, -top],
            [b, t - top],
            [-web, t - top],
            [-web, top - t],
            [b, top - t],
            [b, top],
            [web, top],
        ];
        let found = OpenSection::of(&outline(&corners), t).expect("a section");
        let e = 3.0 * b * b / (6.0 * b + h);
        near("shear centre", found.centre[0], -e, 0.03);
        near(
            "warping constant",
            found.warping,
            t * b.powi(3) * h * h * (3.0 * b + 2.0 * h) / 12.0 / (6.0 * b + h),
            0.04,
        );
        near("torsion constant", found.torsion, (2.0 * b + h) * t.powi(3) / 3.0, 0.05);
        // Inner corners bear more than plain walls, and none less is told.
        assert!(
            found.thickness > 0.97 * t && found.thickness < 1.25 * t,
            "free torsion: {}",
            found.thickness
        );
        // ω runs from h (b − e) / 2 at a flange's edge through zero; the first moment to that place over t is (b − e)² h / 4.
        near("greatest shear of warping", found.flow, 0.25 * h * (b - e).powi(2), 0.06);
    }

    /// Too little to tell; no outside value.
    #[test]
    fn a_speck_has_no_section() {
        assert_eq!(OpenSection::of(&[], 1.0), None, "nothing");
        let speck = outline(&[[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]);
        assert_eq!(
            OpenSection::of(&speck, 0.0).map(|s| s.torsion > 0.0),
            Some(true),
            "the cells are bounded by its size"
        );
        assert_eq!(OpenSection::of(&speck, 10.0), None, "one cell");
    }
}
