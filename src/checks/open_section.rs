//! A section that an opening cuts, in torsion: how it warps, and what shear flows through it where it must not.
//!
//! Solved on square cells of a fifth of the mean wall: the warping of de Saint-Venant's torsion, which gives the torsion
//! constant; the sectorial coordinate ω, which is that warping less a plane, so that it neither pulls nor bends; and the shear
//! that goes with a bimoment. Vlasov's theory of thin-walled bars, textbook, from memory. Cells make stairs of slanting walls: that costs
//! some hundredths of what warping gives, and up to a third of the torsion constant, which matters in long openings only and errs
//! towards more stress.

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
        let twist: Vec<f64> = cells.links.iter().map(|link| cells.turned(link)).collect();
        // The warping works against the turn of each link.
        let load: Vec<f64> = twist.iter().map(|t| -t).collect();
        let warped = cells.solve(cells.gathered(&load))?;
        let strains: Vec<f64> = cells.differences(&warped).iter().zip(&twist).map(|(d, t)| d + t).collect();
        let torsion = strains.iter().map(|s| s * s).sum();
        let (sectorial, centre) = cells.without_plane(&warped)?;
        let size = cells.size;
        let warping = sectorial.iter().map(|w| w * w).sum::<f64>() * size * size;
        let pushed = cells.solve(sectorial.iter().map(|w| w * size * size).collect())?;
        let found = Self {
            torsion,
            thickness: cells.greatest(&strains) / size,
            warping,
            reach: sectorial.iter().fold(0.0, |most, w| most.max(w.abs())),
            flow: cells.greatest(&cells.differences(&pushed)) / size,
            centre,
        };
        (found.torsion > 0.0 && found.warping > 0.0).then_some(found)
    }
}

/// Two neighbouring cells: their numbers, and the axis from the first to the second.
struct Link {
    ends: [usize; 2],
    axis: usize,
}

/// The cells of a section whose middles lie in metal.
struct Cells {
    size: f64,
    middles: Vec<[f64; 2]>,
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
        let place = |k: usize, i: usize| ends[k][0] + size * (i as f64 + 0.5);
        let mut out = Self { size, middles: Vec::new(), links: Vec::new() };
        let mut below: Vec<Option<usize>> = vec![None; across];
        for j in 0..up {
            let crossed = crossings(pieces, place(1, j));
            let mut row = vec![None; across];
            for i in 0..across {
                let y = place(0, i);
                if crossed.iter().filter(|c| **c > y).count() % 2 == 1 {
                    let cell = out.middles.len();
                    out.middles.push([y, place(1, j)]);
                    row[i] = Some(cell);
                    let left = i.checked_sub(1).and_then(|left| row[left]);
                    let before = [(left, 0), (below[i], 1)];
                    out.links.extend(
                        before
                            .into_iter()
                            .filter_map(|(other, axis)| Some(Link { ends: [other?, cell], axis })),
                    );
                }
            }
            below = row;
        }
        (out.middles.len() > 2).then_some(out)
    }

    /// How far a twist of one turns the second cell of a link ahead of the first, along the link times its length.
    fn turned(&self, link: &Link) -> f64 {
        let [a, b] = link.ends.map(|cell| self.middles[cell]);
        self.size * if link.axis == 0 { -0.5 * (a[1] + b[1]) } else { 0.5 * (a[0] + b[0]) }
    }

    /// The difference of each link's ends.
    fn differences(&self, of: &[f64]) -> Vec<f64> {
        self.links.iter().map(|link| of[link.ends[1]] - of[link.ends[0]]).collect()
    }

    /// What the links bring to each cell: the transpose of [`Self::differences`].
    fn gathered(&self, of: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.middles.len()];
        for (link, value) in self.links.iter().zip(of) {
            out[link.ends[0]] -= value;
            out[link.ends[1]] += value;
        }
        out
    }

    /// Solves for the values whose differences, gathered, are this load, by conjugate gradients; each piece of connected cells takes
    /// loads that add up to nothing. `None` where that does not converge.
    fn solve(&self, load: Vec<f64>) -> Option<Vec<f64>> {
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let wanted = SOLVED * SOLVED * dot(&load, &load);
        let (mut out, mut rest) = (vec![0.0; load.len()], load);
        let mut way = rest.clone();
        let mut left = dot(&rest, &rest);
        for _ in 0..20 * self.middles.len() {
            if left <= wanted {
                return Some(out);
            }
            let pulled = self.gathered(&self.differences(&way));
            let step = left / dot(&way, &pulled);
            for (i, pull) in pulled.iter().enumerate() {
                out[i] += step * way[i];
                rest[i] -= step * pull;
            }
            let next = dot(&rest, &rest);
            way.iter_mut().zip(&rest).for_each(|(way, rest)| *way = rest + next / left * *way);
            left = next;
        }
        None
    }

    /// Values less the plane that leaves them without a sum and without first moments, and the shear centre that the plane's slopes
    /// tell. Pieces that do not touch slide along each other freely, so each has a mean of its own.
    fn without_plane(&self, of: &[f64]) -> Option<(Vec<f64>, [f64; 2])> {
        let pieces = self.connected();
        let centred = |values: Vec<f64>| {
            let mut sums = vec![(0.0, 0.0); pieces.len()];
            for (value, piece) in values.iter().zip(&pieces) {
                sums[*piece].0 += value;
                sums[*piece].1 += 1.0;
            }
            values.iter().zip(&pieces).map(|(v, p)| v - sums[*p].0 / sums[*p].1).collect::<Vec<f64>>()
        };
        let value = centred(of.to_vec());
        let [y, z] = [0, 1].map(|k| centred(self.middles.iter().map(|m| m[k]).collect()));
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
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
                sums[cell][link.axis].0 += value;
                sums[cell][link.axis].1 += 1.0;
            }
        }
        let mean = |(sum, count): (f64, f64)| if count > 0.0 { sum / count } else { 0.0 };
        sums.into_iter().map(|[a, b]| mean(a).hypot(mean(b))).fold(0.0, f64::max)
    }
}

/// Where outlines cross a level line, along it.
fn crossings(pieces: &[Piece], level: f64) -> Vec<f64> {
    let crossed = pieces.iter().filter(|[a, b]| (a[1] > level) != (b[1] > level));
    crossed.map(|[a, b]| a[0] + (b[0] - a[0]) * (level - a[1]) / (b[1] - a[1])).collect()
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

    /// A round tube of radius r and wall t, slit open below: J = 2 π r t³ / 3, greatest stress t G φ', Iω = 2 (π³ − 6 π) t r⁵ / 3,
    /// ω up to π r² at the slit, shear centre 2 r from the middle, away from the slit. Textbook theory of thin walls, from memory.
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
        near("warping constant", found.warping, 2.0 / 3.0 * (PI.powi(3) - 6.0 * PI) * t * r.powi(5), 0.04);
        near("sectorial coordinate", found.reach, PI * r * r, 0.05);
        near("shear centre", found.centre[1], 2.0 * r, 0.03);
        assert!(found.centre[0].abs() < 0.02 * r, "{found:?}");
        // Cells make stairs of the slanting wall: it counts as thinner, never as thicker.
        let share = found.torsion / (2.0 / 3.0 * PI * r * t.powi(3));
        assert!(share > 0.65 && share < 1.0, "torsion constant: {share}");
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
        near("greatest stress of free torsion", found.thickness, t, 0.25);
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
