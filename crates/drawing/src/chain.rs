//! Loose paths joined end to end, with what is drawn twice left out.
//!
//! Everything here is done by sorting squares of a grid, so that time grows with the number of
//! segments and hardly faster, wherever they lie and in whatever order they come.

use crate::{
    geometry::Point,
    outline::{middle_of, segment_length, turn_round},
    pen::Path,
};

/// Ends beyond this many in one place are left unjoined: nothing tells which belong together.
const MOST_MEETING: usize = 40;
/// Neighbours that are looked at in one strip of three squares.
const MOST_NEIGHBOURS: usize = 64;
/// Open ends closer than this are told of, or closer than twenty tolerances.
const NEAR_MM: f64 = 2.0;
/// Open ends of one path closer than this part of its length are told of, too.
const NEAR_SHARE: f64 = 0.05;

/// Two open ends that may have been meant to meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    /// Layer of both.
    pub layer: String,
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// How far they are apart.
    pub distance_mm: f64,
}

/// What chaining found.
#[derive(Default)]
pub(crate) struct Chained {
    pub paths: Vec<Path>,
    /// Ends, distance and layer.
    pub gaps: Vec<(Point, Point, f64, u32)>,
    /// Segments left out because they were there already.
    pub repeated: usize,
    /// Segments kept though the same one lies on another layer.
    pub on_other_layers: usize,
    /// Open paths shorter than the tolerance.
    pub specks: usize,
    /// Places where more than two ends meet.
    pub branches: usize,
}

/// Joins open paths whose ends meet within `tolerance`; ends within `hair` are one point.
pub(crate) fn chain(paths: Vec<Path>, tolerance: f64, hair: f64) -> Chained {
    let mut chained = Chained::default();
    let paths = once(paths, hair, &mut chained);
    let (mut closed, open): (Vec<Path>, Vec<Path>) = paths.into_iter().partition(|p| p.closed);
    // Ends that were drawn to meet are joined first, so that of pieces smaller than the tolerance
    // none is passed over.
    let mut open = join(open, hair, &mut closed, &mut chained);
    if tolerance > hair {
        let before = open.len();
        open.retain(|path| path_length(path) > tolerance);
        chained.specks = before - open.len();
        open = join(open, tolerance, &mut closed, &mut chained);
    }
    find_gaps(&open, tolerance, &mut chained);
    closed.append(&mut open);
    chained.paths = closed;
    chained
}

fn path_length(path: &Path) -> f64 {
    (0..path.bulges.len()).map(|index| segment_length(path.segment(index))).sum()
}

/// Three numbers, by which everything here is put in order: each further kind of thing that is sorted
/// would bring a sort of its own into the page.
type Key = (i64, i64, usize);

/// Calls `visit` with all pairs of points of one group within `radius`, and their distance.
///
/// Of points in the very same place each meets only the next one, which meets the others in its stead;
/// where more than [`MOST_NEIGHBOURS`] crowd, each meets only the next of them.
fn near_pairs(
    points: &[Point],
    groups: &[u32],
    radius: f64,
    visit: &mut dyn FnMut(usize, usize, f64),
) {
    let row = |value: f64| (value / radius).floor() as i64;
    // Points lie within a kilometre and squares are no smaller than a nanometre, so that 2⁴⁵ rows
    // keep the groups apart.
    let column_of = |index: usize| (i64::from(groups[index]) << 45) + row(points[index].x);
    let mut squares: Vec<Key> =
        (0..points.len()).map(|index| (column_of(index), row(points[index].y), index)).collect();
    squares.sort_unstable();
    // Start of the strip in the next column that touches the square at hand; it only moves on.
    let mut next = 0;
    for (place, &(column, line, index)) in squares.iter().enumerate() {
        let mut meet = |from: usize, column: i64, last_line: i64| {
            for &(c, l, other) in squares[from..].iter().take(MOST_NEIGHBOURS) {
                if c != column || l > last_line {
                    break;
                }
                let distance = points[index].distance(points[other]);
                if distance <= radius {
                    visit(index.min(other), index.max(other), distance);
                }
                // In the very same place the other one meets all that are still to come.
                if distance == 0.0 {
                    return false;
                }
            }
            true
        };
        let goes_on = meet(place + 1, column, line + 1);
        while next < squares.len() && (squares[next].0, squares[next].1) < (column + 1, line - 1) {
            next += 1;
        }
        if goes_on {
            meet(next, column + 1, line + 1);
        }
    }
}

/// For each point the least index of the points it hangs together with.
fn clusters(points: &[Point], groups: &[u32], radius: f64) -> Vec<usize> {
    fn root(parents: &mut [usize], mut index: usize) -> usize {
        while parents[index] != index {
            parents[index] = parents[parents[index]];
            index = parents[index];
        }
        index
    }
    let mut parents: Vec<usize> = (0..points.len()).collect();
    near_pairs(points, groups, radius, &mut |a, b, _| {
        let (a, b) = (root(&mut parents, a), root(&mut parents, b));
        let (low, high) = (a.min(b), a.max(b));
        parents[high] = low;
    });
    (0..points.len()).map(|index| root(&mut parents, index)).collect()
}

/// Leaves out what is drawn twice.
///
/// A closed path goes where the same one was before it; an open one where all its segments are
/// part of others. Closed paths that share an edge keep it: each is cut by a tool of its own.
fn once(paths: Vec<Path>, hair: f64, chained: &mut Chained) -> Vec<Path> {
    let names = segment_names(&paths, hair, chained);
    let mut first = 0;
    let ranges: Vec<std::ops::Range<usize>> = paths
        .iter()
        .map(|path| {
            let range = first..first + path.bulges.len();
            first = range.end;
            range
        })
        .collect();
    let mut taken = vec![false; first];
    let mut keep = vec![true; paths.len()];

    // Closed paths first, those with the same segments side by side.
    let mut closed: Vec<Key> = Vec::new();
    let mut sorted: Vec<Vec<Key>> = vec![Vec::new(); paths.len()];
    for (index, path) in paths.iter().enumerate().filter(|(_, path)| path.closed) {
        let mut own: Vec<Key> =
            names[ranges[index].clone()].iter().map(|name| (0, 0, *name)).collect();
        own.sort_unstable();
        let mut mixed = 0_i64;
        for (_, _, name) in &own {
            mixed = mixed.wrapping_mul(0x0100_0000_01b3).wrapping_add(*name as i64 + 1);
        }
        sorted[index] = own;
        closed.push((path.bulges.len() as i64, mixed, index));
    }
    closed.sort_unstable();
    let mut kept: Option<Key> = None;
    for &(count, mixed, index) in &closed {
        let again = kept.is_some_and(|(other_count, other_mixed, other)| {
            (count, mixed) == (other_count, other_mixed) && sorted[index] == sorted[other]
        });
        if again {
            keep[index] = false;
            chained.repeated += paths[index].bulges.len();
        } else {
            kept = Some((count, mixed, index));
            for (_, _, name) in &sorted[index] {
                taken[*name] = true;
            }
        }
    }
    // Then open ones, long ones first: a loose line goes where a polyline has it.
    let mut open: Vec<Key> = (0..paths.len())
        .filter(|index| !paths[*index].closed)
        .map(|index| (-(paths[index].bulges.len() as i64), 0, index))
        .collect();
    open.sort_unstable();
    for (_, _, index) in open {
        let own = &names[ranges[index].clone()];
        if own.iter().all(|name| taken[*name]) {
            keep[index] = false;
            chained.repeated += own.len();
        } else {
            for name in own {
                taken[*name] = true;
            }
        }
    }
    let mut keep = keep.into_iter();
    paths.into_iter().filter(|_| keep.next().unwrap_or(true)).collect()
}

/// A number for each segment of each path that is the same for the same segment, either way round.
fn segment_names(paths: &[Path], hair: f64, chained: &mut Chained) -> Vec<usize> {
    // Ends and middles: between the same ends, arcs differ in their middles.
    let mut points = Vec::new();
    for path in paths {
        for index in 0..path.bulges.len() {
            let segment = path.segment(index);
            points.extend([segment.0, segment.1, middle_of(segment)]);
        }
    }
    let nodes = clusters(&points, &vec![0; points.len()], hair);
    let mut segments: Vec<Key> = Vec::with_capacity(points.len() / 3);
    let mut layers = Vec::with_capacity(points.len() / 3);
    for path in paths {
        for _ in &path.bulges {
            let at = layers.len();
            let (a, b, middle) = (nodes[3 * at], nodes[3 * at + 1], nodes[3 * at + 2]);
            let ends = ((a.min(b) as i64) << 32) | a.max(b) as i64;
            segments.push((ends, ((middle as i64) << 24) | i64::from(path.layer), at));
            layers.push(path.layer);
        }
    }
    segments.sort_unstable();
    let mut names = vec![0; segments.len()];
    let mut first = 0;
    for (place, &(ends, middle, at)) in segments.iter().enumerate() {
        let (first_ends, first_middle, _) = segments[first];
        if (ends, middle) != (first_ends, first_middle) {
            if place > 0 && ends == first_ends && middle >> 24 == first_middle >> 24 {
                chained.on_other_layers += 1;
            }
            first = place;
        }
        names[at] = first;
    }
    names
}

/// Joins open paths whose ends lie within `radius`; those that close go to `closed`.
fn join(
    mut open: Vec<Path>,
    radius: f64,
    closed: &mut Vec<Path>,
    chained: &mut Chained,
) -> Vec<Path> {
    let partners = partners(&open, radius, chained);
    let mut rest = Vec::new();
    let mut used = vec![false; open.len()];
    // Chains with two free ends first, then rings, each from its earliest path.
    for rings in [false, true] {
        for start in 0..open.len() {
            if used[start] {
                continue;
            }
            let free = (0..2).find(|side| partners[2 * start + side].is_none());
            let entry = match free {
                Some(side) => 2 * start + side,
                None if rings => 2 * start,
                None => continue,
            };
            let (path, is_ring) = walk(&mut open, &partners, entry, &mut used);
            if is_ring { closed.push(path) } else { rest.push(path) }
        }
    }
    rest
}

/// Follows partners from an end, end 2·i being the start of path i and end 2·i + 1 its end.
fn walk(
    open: &mut [Path],
    partners: &[Option<usize>],
    entry: usize,
    used: &mut [bool],
) -> (Path, bool) {
    let mut chain =
        Path { layer: open[entry / 2].layer, closed: false, points: vec![], bulges: vec![] };
    let mut end = entry;
    loop {
        let index = end / 2;
        used[index] = true;
        let (mut points, mut bulges) =
            (std::mem::take(&mut open[index].points), std::mem::take(&mut open[index].bulges));
        if end % 2 == 1 {
            turn_round(&mut points, &mut bulges, false);
        }
        if chain.points.is_empty() {
            (chain.points, chain.bulges) = (points, bulges);
        } else {
            let last = chain.points.len() - 1;
            let short = shortest_chord(&chain.points[last - 1..], &points);
            if meets_halfway(chain.points[last], points[0], short) {
                chain.points[last] = chain.points[last].middle(points[0]);
                chain.points.extend_from_slice(&points[1..]);
            } else {
                chain.bulges.push(0.0);
                chain.points.extend_from_slice(&points);
            }
            chain.bulges.extend_from_slice(&bulges);
        }
        match partners[end ^ 1] {
            None => return (chain, false),
            Some(next) if next == entry => break,
            Some(next) => end = next,
        }
    }
    let last = chain.points.len() - 1;
    let short = shortest_chord(&chain.points[last - 1..], &chain.points);
    if meets_halfway(chain.points[last], chain.points[0], short) {
        chain.points[0] = chain.points[0].middle(chain.points[last]);
        chain.points.pop();
    } else {
        chain.bulges.push(0.0);
    }
    chain.closed = true;
    (chain, true)
}

/// The shorter of the chords before and behind a joint.
fn shortest_chord(before: &[Point], behind: &[Point]) -> f64 {
    before[0].distance(before[1]).min(behind[0].distance(behind[1]))
}

/// Whether both ends of a joint move halfway; else a line goes from one to the other.
///
/// An arc's radius goes with its chord, so that an arc that is nearly a whole circle must keep it.
fn meets_halfway(from: Point, to: Point, shortest_chord: f64) -> bool {
    10.0 * from.distance(to) <= shortest_chord
}

/// For each end the one it is joined to.
fn partners(open: &[Path], radius: f64, chained: &mut Chained) -> Vec<Option<usize>> {
    let mut ends = Vec::with_capacity(2 * open.len());
    let mut groups = Vec::with_capacity(2 * open.len());
    for path in open {
        ends.extend([path.points[0], path.points[path.points.len() - 1]]);
        groups.extend([path.layer; 2]);
    }
    let nodes = clusters(&ends, &groups, radius);
    let mut meeting: Vec<Key> =
        nodes.iter().enumerate().map(|(end, node)| (*node as i64, 0, end)).collect();
    meeting.sort_unstable();
    let mut count = vec![0_usize; ends.len()];
    for node in &nodes {
        count[*node] += 1;
    }
    let mut partners = vec![None; ends.len()];
    let mut at = 0;
    while at < meeting.len() {
        let here = &meeting[at..at + count[meeting[at].0 as usize]];
        at += here.len();
        if here.len() > 2 {
            chained.branches += 1;
        }
        if here.len() > MOST_MEETING {
            continue;
        }
        // The best pair first: ends of paths that go on at their other end before those that stop
        // there, then the straighter way, then the closer ends.
        let mut pairs: Vec<Key> = Vec::new();
        for i in 0..here.len() {
            for j in i + 1..here.len() {
                let (a, b) = (here[i].2, here[j].2);
                let distance = ends[a].distance(ends[b]);
                let itself = a / 2 == b / 2;
                if distance > radius || itself && path_length(&open[a / 2]) <= 4.0 * radius {
                    continue;
                }
                let stops = |end: usize| i64::from(count[nodes[end ^ 1]] == 1);
                let (u, v) = (leaving(&open[a / 2], a % 2 == 1), leaving(&open[b / 2], b % 2 == 1));
                // Straight on is −1, back is 1.
                let turn = (u.dot(v) * 1e6).round() as i64;
                let worth = ((stops(a) + stops(b)) << 32) + turn;
                pairs.push((worth, (distance / radius * 1e9) as i64, i * MOST_MEETING + j));
            }
        }
        pairs.sort_unstable();
        for (_, _, pair) in pairs {
            let (a, b) = (here[pair / MOST_MEETING].2, here[pair % MOST_MEETING].2);
            if partners[a].is_none() && partners[b].is_none() {
                partners[a] = Some(b);
                partners[b] = Some(a);
            }
        }
    }
    partners
}

/// Unit vector into a path from its start, or from its end.
fn leaving(path: &Path, from_end: bool) -> Point {
    let index = if from_end { path.bulges.len() - 1 } else { 0 };
    let (start, end, bulge) = path.segment(index);
    let chord = end.minus(start);
    // An arc leaves its chord by half its sweep: to the right at the start, where it turns left.
    let (sin, cos) = (2.0 * bulge.atan()).sin_cos();
    let length = chord.length();
    let along = Point::new(chord.x / length, chord.y / length);
    let at_start = Point::default().displaced(along, cos).displaced(along.turned_left(), -sin);
    let at_end = Point::default().displaced(along, cos).displaced(along.turned_left(), sin);
    if from_end { Point::new(-at_end.x, -at_end.y) } else { at_start }
}

/// Open ends that are each other's nearest and close enough to wonder.
fn find_gaps(open: &[Path], tolerance: f64, chained: &mut Chained) {
    let mut ends = Vec::with_capacity(2 * open.len());
    let mut groups = Vec::with_capacity(2 * open.len());
    for path in open {
        ends.extend([path.points[0], path.points[path.points.len() - 1]]);
        groups.extend([path.layer; 2]);
    }
    let mut nearest = vec![(f64::INFINITY, usize::MAX); ends.len()];
    let mut better = |a: usize, b: usize, distance: f64| {
        for (one, other) in [(a, b), (b, a)] {
            if (distance, other) < nearest[one] {
                nearest[one] = (distance, other);
            }
        }
    };
    near_pairs(&ends, &groups, NEAR_MM.max(20.0 * tolerance), &mut |a, b, distance| {
        // Ends that lie within the tolerance are where lines branch, and no gap.
        if distance > tolerance {
            better(a, b, distance);
        }
    });
    for (index, path) in open.iter().enumerate() {
        let distance = ends[2 * index].distance(ends[2 * index + 1]);
        if distance > tolerance && distance <= NEAR_SHARE * path_length(path) {
            better(2 * index, 2 * index + 1, distance);
        }
    }
    for (end, &(distance, other)) in nearest.iter().enumerate() {
        if end < other && other != usize::MAX && nearest[other].1 == end {
            chained.gaps.push((ends[end], ends[other], distance, groups[end]));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(points: &[(f64, f64)]) -> Path {
        let points: Vec<Point> = points.iter().map(|&(x, y)| Point::new(x, y)).collect();
        let bulges = vec![0.0; points.len() - 1];
        Path { layer: 0, closed: false, points, bulges }
    }

    fn square(x: f64, y: f64) -> Vec<Path> {
        let corner = |i: usize| [(x, y), (x + 10.0, y), (x + 10.0, y + 10.0), (x, y + 10.0)][i % 4];
        (0..4).map(|i| line(&[corner(i), corner(i + 1)])).collect()
    }

    fn closed(mut path: Path) -> Path {
        path.bulges.push(0.0);
        path.closed = true;
        path
    }

    fn lengths(chained: &Chained) -> Vec<(bool, f64)> {
        chained.paths.iter().map(|path| (path.closed, path_length(path).round())).collect()
    }

    #[test]
    fn a_stub_at_a_corner_does_not_open_the_outline() {
        let mut paths = square(0.0, 0.0);
        // Straight on from one side, where the way round the corner is the sharper turn.
        paths.push(line(&[(10.0, 0.0), (25.0, 0.0)]));
        assert_eq!(lengths(&chain(paths, 0.05, 1e-3)), [(true, 40.0), (false, 15.0)]);
    }

    #[test]
    fn squares_with_a_common_side_are_one_outline_and_a_line() {
        let mut paths = square(0.0, 0.0);
        paths.extend(square(10.0, 0.0));
        let chained = chain(paths, 0.05, 1e-3);
        assert_eq!(lengths(&chained), [(true, 60.0), (false, 10.0)]);
        assert_eq!((chained.repeated, chained.branches), (1, 2));
        assert_eq!(chained.gaps, []);
    }

    #[test]
    fn closed_paths_that_share_an_edge_keep_it() {
        let ring = |x: f64| closed(line(&[(x, 0.0), (x + 10.0, 0.0), (x + 10.0, 10.0), (x, 10.0)]));
        let chained = chain(vec![ring(0.0), ring(10.0), ring(0.0)], 0.05, 1e-3);
        assert_eq!(lengths(&chained), [(true, 40.0), (true, 40.0)]);
        assert_eq!(chained.repeated, 4);
    }

    #[test]
    fn a_closed_path_goes_only_where_the_same_one_was() {
        // All four sides of the middle square are sides of its neighbours.
        let ring = |x: f64, y: f64| {
            closed(line(&[(x, y), (x + 10.0, y), (x + 10.0, y + 10.0), (x, y + 10.0)]))
        };
        let around = [(10.0, 0.0), (0.0, 10.0), (20.0, 10.0), (10.0, 20.0), (10.0, 10.0)];
        let paths = around.iter().map(|&(x, y)| ring(x, y)).collect();
        assert_eq!(chain(paths, 0.05, 1e-3).paths.len(), 5);
    }

    #[test]
    fn pieces_smaller_than_the_tolerance_hold_an_outline_together() {
        // A corner cut by a chamfer of 0.03 mm, drawn as a line of its own.
        let paths = vec![
            line(&[(0.0, 0.0), (9.97, 0.0)]),
            line(&[(9.97, 0.0), (10.0, 0.03)]),
            line(&[(10.0, 0.03), (10.0, 10.0)]),
            line(&[(10.0, 10.0), (0.0, 0.0)]),
        ];
        let chained = chain(paths, 0.05, 1e-3);
        assert_eq!(chained.paths.len(), 1);
        assert_eq!(chained.paths[0].points.len(), 4);
        assert_eq!(chained.specks, 0);
    }

    #[test]
    fn an_arc_that_is_nearly_a_circle_keeps_its_radius_when_it_closes() {
        // 335° of a circle of 0.1 mm; its ends are 0.043 mm apart.
        let bulge = (335.0_f64.to_radians() / 4.0).tan();
        let (sin, cos) = 335.0_f64.to_radians().sin_cos();
        let points = vec![Point::new(0.1, 0.0), Point::new(0.1 * cos, 0.1 * sin)];
        let arc = Path { layer: 0, closed: false, points, bulges: vec![bulge] };
        let chained = chain(vec![arc], 0.05, 1e-3);
        assert!(chained.paths[0].closed);
        let expected = 0.1 * 335.0_f64.to_radians() + 0.2 * 12.5_f64.to_radians().sin();
        assert!((path_length(&chained.paths[0]) - expected).abs() < 1e-12);
    }

    #[test]
    fn a_gap_beyond_the_tolerance_is_told_with_both_ends() {
        let paths = vec![
            line(&[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)]),
            line(&[(10.0, 10.2), (0.0, 10.0), (0.0, 0.0)]),
        ];
        let chained = chain(paths, 0.05, 1e-3);
        assert_eq!(chained.paths.len(), 1);
        assert!(!chained.paths[0].closed);
        assert_eq!(chained.gaps.len(), 1);
        let (a, b, distance, _) = chained.gaps[0];
        assert!((distance - 0.2).abs() < 1e-12);
        assert_eq!(a.distance(b), distance);
    }

    #[test]
    fn many_ends_in_one_place_stay_apart_and_take_no_time() {
        let star = (0..100_000)
            .map(|i| {
                let (sin, cos) = (f64::from(i) * 6e-5).sin_cos();
                line(&[(0.0, 0.0), (500.0 * cos, 500.0 * sin)])
            })
            .collect();
        let start = std::time::Instant::now();
        let chained = chain(star, 1e-3, 1e-3);
        assert_eq!(chained.paths.len(), 100_000);
        assert!(start.elapsed().as_secs() < 20, "{:?}", start.elapsed());
    }
}
