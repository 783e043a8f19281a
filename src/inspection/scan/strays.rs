//! Loose bits of a scan: dust, the table, what a scanner made of a reflection. They hang together with nothing and are left out, so that no
//! line meets them instead of the part.

use std::collections::HashMap;

use super::read::Scan;

/// A bit with less than this share of the whole area is loose.
const LOOSE: f64 = 1e-3;

/// If more than this share of the area would go, the mesh is in pieces as such, and all of it is kept.
const IN_PIECES: f64 = 0.05;

impl Scan {
    /// The scan without its loose bits, and how many triangles these had.
    #[must_use]
    pub fn without_strays(self) -> (Self, usize) {
        let area: Vec<f64> =
            self.triangles.iter().map(|t| 0.5 * (t[1] - t[0]).cross(&(t[2] - t[0])).norm()).collect();
        let total: f64 = area.iter().sum();
        let bit_of = bits(&self);
        let mut of_bit = vec![0.0; self.triangles.len()];
        for (t, bit) in bit_of.iter().enumerate() {
            of_bit[*bit] += area[t];
        }
        let loose = |t: usize| of_bit[bit_of[t]] < LOOSE * total;
        let gone: f64 = (0..area.len()).filter(|t| loose(*t)).map(|t| area[t]).sum();
        if gone > IN_PIECES * total {
            return (self, 0);
        }
        let before = self.triangles.len();
        let kept = self.triangles.into_iter().enumerate().filter(|(t, _)| !loose(*t)).map(|(_, c)| c);
        let triangles: Vec<_> = kept.collect();
        let left_out = before - triangles.len();
        (Self { triangles }, left_out)
    }
}

/// The bit that each triangle belongs to, named by one of its triangles; those that share a corner hang together.
fn bits(scan: &Scan) -> Vec<usize> {
    let mut parent: Vec<usize> = (0..scan.triangles.len()).collect();
    let mut first: HashMap<[u64; 3], usize> = HashMap::with_capacity(scan.triangles.len() / 2);
    for (t, corners) in scan.triangles.iter().enumerate() {
        for corner in corners {
            // Zero has two signs.
            let key = [corner.x, corner.y, corner.z].map(|x| (x + 0.0).to_bits());
            let other = *first.entry(key).or_insert(t);
            let (a, b) = (root(&mut parent, t), root(&mut parent, other));
            parent[a.max(b)] = a.min(b);
        }
    }
    (0..parent.len()).map(|t| root(&mut parent, t)).collect()
}

/// The triangle that names a bit; ways to it are halved as they are gone.
fn root(parent: &mut [usize], mut t: usize) -> usize {
    while parent[t] != t {
        parent[t] = parent[parent[t]];
        t = parent[t];
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;
    use solidwright::geometry::P3;

    /// By hand: a strip of a hundred triangles and one apart from it that has a hundred thousandth of its area: that one goes. Triangles that
    /// share no corner at all are a mesh in pieces, and stay.
    #[test]
    fn what_hangs_together_with_nothing_is_left_out() {
        let at = |k: usize, y: f64| P3::new(k as f64, y, 0.0);
        let mut triangles: Vec<[P3; 3]> =
            (0..100).map(|k| [at(k, 0.0), at(k + 1, 0.0), at(k, 1.0)]).collect();
        let dust = [P3::new(9.0, 9.0, 9.0), P3::new(9.03, 9.0, 9.0), P3::new(9.0, 9.03, 9.0)];
        triangles.insert(40, dust);
        let (kept, gone) = Scan { triangles: triangles.clone() }.without_strays();
        assert_eq!((kept.triangles.len(), gone), (100, 1), "the dust is gone");
        assert!(!kept.triangles.contains(&dust), "it is the dust that went");
        let apart = (0..3000).map(|k| [at(3 * k, 0.0), at(3 * k + 1, 0.0), at(3 * k, 1.0)]).collect();
        assert_eq!(Scan { triangles: apart }.without_strays().1, 0, "in pieces as such");
    }
}
