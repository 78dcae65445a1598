//! What became of the rays, in whole numbers: sums don't depend on the order in which they are made.

/// Cells of the map along each side.
pub(super) const CELLS: usize = 41;
/// Steps of the radius about the middle of the aperture.
pub(super) const STEPS: usize = 600;
/// Steps up to the radius of the aperture; the rest reach four times as far.
pub(super) const WITHIN: usize = 150;

/// What became of the light of one facet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Share {
    /// Rays drawn.
    pub(super) rays: u64,
    /// Held back on the way to the mirror by the body of the receiver.
    pub(super) shaded: u64,
    /// Sent so that they never meet the plane.
    pub(super) astray: u64,
    /// Entered the aperture.
    pub(super) hits: u64,
    /// Sums of where they met the plane, µm.
    pub(super) x: i64,
    pub(super) y: i64,
}

/// What became of rays. Tallies of different blocks add up in any order to the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tally {
    pub(super) shares: Vec<Share>,
    /// How often each block was traced.
    pub(super) blocks: Vec<u32>,
    /// The map by rays of even and of odd number, row by row from below.
    pub(super) maps: [Vec<u32>; 2],
    /// Rays by their distance from the middle of the aperture.
    pub(super) radial: Vec<u32>,
}

impl Share {
    pub(super) fn add(&mut self, other: &Self) {
        self.rays += other.rays;
        self.shaded += other.shaded;
        self.astray += other.astray;
        self.hits += other.hits;
        self.x += other.x;
        self.y += other.y;
    }

    /// Rays that the mirror sent on.
    pub(super) const fn reflected(&self) -> u64 {
        self.rays - self.shaded
    }
}

impl Tally {
    pub(super) fn blank(facets: usize, blocks: u32) -> Self {
        Self {
            shares: vec![Share::default(); facets],
            blocks: (0..blocks).map(|_| 0).collect(),
            maps: [vec![0; CELLS * CELLS], vec![0; CELLS * CELLS]],
            radial: vec![0; STEPS],
        }
    }

    /// Adds the rays of another tally of the same trace.
    pub fn merge(&mut self, other: &Self) {
        for (share, more) in self.shares.iter_mut().zip(&other.shares) {
            share.add(more);
        }
        for (block, more) in self.blocks.iter_mut().zip(&other.blocks) {
            *block += more;
        }
        for (map, more) in self.maps.iter_mut().zip(&other.maps) {
            for (cell, more) in map.iter_mut().zip(more) {
                *cell += more;
            }
        }
        for (step, more) in self.radial.iter_mut().zip(&other.radial) {
            *step += more;
        }
    }

    /// Whether every block was traced once.
    pub(super) fn is_whole(&self) -> bool {
        self.blocks.iter().all(|times| *times == 1)
    }

    /// All facets together.
    pub(super) fn whole(&self) -> Share {
        let mut whole = Share::default();
        for share in &self.shares {
            whole.add(share);
        }
        whole
    }

    /// The map of all rays.
    pub(super) fn map(&self) -> Vec<u32> {
        let [even, odd] = &self.maps;
        even.iter().zip(odd).map(|(even, odd)| even + odd).collect()
    }
}
