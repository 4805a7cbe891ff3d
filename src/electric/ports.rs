//! What the windings see of the rest of the network, and the currents that follow.

use num_complex::Complex64;

use super::laws::Suppressor;
use super::network::{Factor, Scalar, Topology};

/// The network reduced to its ports: v = e - Z i, with i flowing from a port's first terminal
/// through the winding to its second.
#[derive(Clone, Debug, Default)]
pub struct PortView<S> {
    /// Open-circuit voltage of each port [V].
    pub open_v: Vec<S>,
    /// Transfer impedance, row by row [ohm].
    pub impedance: Vec<S>,
    /// Current of each watched branch [A] with all ports open.
    pub watched_open: Vec<S>,
    /// d(watched current)/d(port current) [1], row by watched branch.
    pub watched_gain: Vec<S>,
}

impl<S: Scalar> PortView<S> {
    /// Reduces the eliminated network to `ports`; `injected` holds the source currents per node,
    /// `watched` the branches (with ends and admittance) whose current is wanted: the fuses.
    pub fn refresh(
        &mut self,
        topology: &Topology,
        factor: &Factor<S>,
        injected: &[S],
        ports: &[(usize, usize)],
        watched: &[(usize, usize, S)],
    ) {
        let count = ports.len();
        let mut v = injected.to_vec();
        factor.solve(topology, &mut v);
        self.open_v.clear();
        self.open_v.extend(ports.iter().map(|&(a, b)| v[a] - v[b]));
        self.watched_open.clear();
        self.watched_open.extend(watched.iter().map(|&(a, b, y)| y * (v[a] - v[b])));
        self.impedance.clear();
        self.impedance.resize(count * count, S::default());
        self.watched_gain.clear();
        self.watched_gain.resize(watched.len() * count, S::default());
        for (column, &(a, b)) in ports.iter().enumerate() {
            v.fill(S::default());
            v[a] += S::real(1.0);
            v[b] += S::real(-1.0);
            factor.solve(topology, &mut v);
            for (row, &(c, d)) in ports.iter().enumerate() {
                self.impedance[row * count + column] = v[c] - v[d];
            }
            for (row, &(c, d, y)) in watched.iter().enumerate() {
                self.watched_gain[row * count + column] = -(y * (v[c] - v[d]));
            }
        }
    }
}

/// A difference of open voltages that no winding tells from nothing [V], and as a share of one of them
/// [1]. Common practice, no source.
const NO_VOLTS: f64 = 1e-3;
const HARDLY_ANY: f64 = 0.05;
/// Beyond this impedance no current to speak of flows, whatever it is [ohm].
const INSULATED_OHM: f64 = 1e5;
/// No winding tells a current below this from none [A].
const NO_AMPS: f64 = 1e-4;

impl<S: Scalar> PortView<S> {
    /// Whether port `k` can feed its winding no current to speak of.
    #[must_use]
    pub fn starves(&self, k: usize) -> bool {
        let ohm2 = self.impedance[k * self.open_v.len() + k].magnitude_squared();
        self.open_v[k].magnitude_squared() <= NO_AMPS * NO_AMPS * ohm2
    }

    /// Whether windings behind its ports cannot tell it from `other`; impedances between two ports may
    /// differ by the product of their `slight` [ohm^0.5].
    #[must_use]
    pub fn alike(&self, other: &PortView<S>, slight: &[f64]) -> bool {
        let apart = |a: &S, b: &S| (*a - *b).magnitude_squared();
        // What floats feeds nothing, whatever its voltage.
        let same_volts = |(k, (a, b)): (usize, (&S, &S))| {
            let most = NO_VOLTS + HARDLY_ANY * a.magnitude_squared().sqrt();
            apart(a, b) <= most * most || self.starves(k) && other.starves(k)
        };
        let same_ohm = |(at, (a, b)): (usize, (&S, &S))| {
            let least = a.magnitude_squared().min(b.magnitude_squared());
            let ohm = slight[at / slight.len()] * slight[at % slight.len()];
            least >= INSULATED_OHM * INSULATED_OHM || apart(a, b) <= ohm * ohm
        };
        self.open_v.iter().zip(&other.open_v).enumerate().all(same_volts)
            && self.impedance.len() == other.impedance.len()
            && self.impedance.iter().zip(&other.impedance).enumerate().all(same_ohm)
    }

    /// The steady currents [A] through windings of these impedances `ohm` behind its ports.
    #[must_use]
    pub fn steady(&self, ohm: &[S]) -> Vec<S> {
        let n = self.open_v.len();
        let mut whole = self.impedance.clone();
        for (k, ohm) in ohm.iter().enumerate() {
            whole[k * n + k] += *ohm;
        }
        let mut current = self.open_v.clone();
        dense_solve(&mut whole, &mut current, 1);
        current
    }

    /// What is watched [A or V] when these currents [A] flow out of its ports.
    #[must_use]
    pub fn watched(&self, current: &[S]) -> Vec<S> {
        let gains = self.watched_gain.chunks_exact(current.len().max(1));
        let through = gains.map(|gains| {
            gains.iter().zip(current).fold(S::default(), |sum, (gain, i)| sum + *gain * *i)
        });
        let mut watched = self.watched_open.clone();
        watched.iter_mut().zip(through).for_each(|(all, through)| *all += through);
        watched
    }
}

/// Solves the dense system `matrix` x = `rhs` in place by elimination with row exchange; `matrix`
/// is overwritten, the inverse pivots on its diagonal. Small systems only. A zero pivot leaves infinities, which the caller's own
/// checks meet.
pub fn dense_solve<S: Scalar>(matrix: &mut [S], rhs: &mut [S], columns: usize) {
    if rhs.is_empty() || columns == 0 {
        return;
    }
    let n = rhs.len() / columns;
    debug_assert_eq!(matrix.len(), n * n);
    for k in 0..n {
        let mut best = k;
        for row in k + 1..n {
            if matrix[row * n + k].magnitude_squared() > matrix[best * n + k].magnitude_squared() {
                best = row;
            }
        }
        if best != k {
            for c in 0..n {
                matrix.swap(k * n + c, best * n + c);
            }
            for c in 0..columns {
                rhs.swap(k * columns + c, best * columns + c);
            }
        }
        let per_pivot = S::real(1.0) / matrix[k * n + k];
        matrix[k * n + k] = per_pivot;
        let (above, below) = matrix.split_at_mut((k + 1) * n);
        let pivot_row = &above[k * n + k + 1..];
        let (rhs_above, rhs_below) = rhs.split_at_mut((k + 1) * columns);
        let pivot_rhs = &rhs_above[k * columns..];
        for (row, right) in below.chunks_exact_mut(n).zip(rhs_below.chunks_exact_mut(columns)) {
            // Ports that do not touch one another are many: they leave each other as they are.
            if row[k].magnitude_squared() == 0.0 {
                continue;
            }
            let share = row[k] * per_pivot;
            for (value, above) in row[k + 1..].iter_mut().zip(pivot_row) {
                *value = *value - share * *above;
            }
            for (value, above) in right.iter_mut().zip(pivot_rhs) {
                *value = *value - share * *above;
            }
        }
    }
    for k in (0..n).rev() {
        let row = &matrix[k * n..(k + 1) * n];
        let (upper, lower) = rhs.split_at_mut((k + 1) * columns);
        let own = &mut upper[k * columns..];
        for (factor, solved) in row[k + 1..].iter().zip(lower.chunks_exact(columns)) {
            if factor.magnitude_squared() == 0.0 {
                continue;
            }
            for (value, known) in own.iter_mut().zip(solved) {
                *value = *value - *factor * *known;
            }
        }
        for value in own {
            *value = *value * row[k];
        }
    }
}

/// A conductance below this leaves the network as good as linear [S].
const BENT_SIEMENS: f64 = 1e-12;

/// Voltages that miss by less than this of themselves are settled, and a change by less than the
/// second leads there by Newton's method [1].
const SETTLED: f64 = 1e-10;
const NEARLY_SETTLED: f64 = 1e-5;
/// A winding with less than this and no voltage to speak of is dead [A]: its suppressor has no say.
const DEAD_A: f64 = 1e-12;

fn dead(winding_a: f64, volts: f64) -> bool {
    volts.abs() < SETTLED && winding_a.abs() < DEAD_A
}

/// Port voltages of a direct-current network whose winding currents are given.
#[derive(Clone, Debug, Default)]
pub struct DcPorts {
    /// Voltage of each port [V].
    pub volts: Vec<f64>,
    /// d(port voltage)/d(winding current), row by row [ohm]; valid after [`DcPorts::slopes`].
    pub volts_per_ampere: Vec<f64>,
    /// Voltages and winding currents where the slopes were found, while some suppressor conducts there.
    known: Vec<(f64, f64)>,
    winding_a: Vec<f64>,
    current: Vec<f64>,
    miss: Vec<f64>,
    /// Ports whose suppressor conducts, with its slope [S].
    bent: Vec<(usize, f64)>,
    work: Vec<f64>,
    part: Vec<f64>,
}

impl DcPorts {
    /// Finds the port voltages for winding currents `winding_a` [A] with `suppressors` across the
    /// ports. Newton's method from the last voltages, or from where the last slopes lead.
    pub fn refresh<'s>(
        &mut self,
        view: &PortView<f64>,
        winding_a: &[f64],
        suppressors: impl Fn(usize) -> &'s [Suppressor],
    ) {
        let n = winding_a.len();
        self.volts.resize(n, 0.0);
        self.current.resize(n, 0.0);
        self.miss.resize(n, 0.0);
        self.winding_a.clear();
        self.winding_a.extend_from_slice(winding_a);
        if n > 0 && self.known.len() == n {
            for (volts, gains) in self.volts.iter_mut().zip(self.volts_per_ampere.chunks_exact(n)) {
                *volts = 0.0;
                for ((gain, (_, known_a)), now_a) in gains.iter().zip(&self.known).zip(winding_a) {
                    *volts += gain * (now_a - known_a);
                }
            }
            for (volts, (known_v, _)) in self.volts.iter_mut().zip(&self.known) {
                *volts += known_v;
            }
        }
        let mut last = f64::INFINITY;
        for _round in 0..60 {
            self.bent.clear();
            for (k, &winding) in winding_a.iter().enumerate() {
                let (mut i, mut g) = (winding, 0.0);
                if !dead(winding, self.volts[k]) {
                    for s in suppressors(k) {
                        let (si, sg) = s.current(self.volts[k]);
                        i += si;
                        g += sg;
                    }
                }
                if g > BENT_SIEMENS {
                    self.bent.push((k, g));
                }
                self.current[k] = i;
            }
            let mut most = 0.0_f64;
            for (row, gains) in view.impedance.chunks_exact(n.max(1)).enumerate() {
                let drop: f64 = gains.iter().zip(&self.current).map(|(z, i)| z * i).sum();
                self.miss[row] = view.open_v[row] - self.volts[row] - drop;
                most = most.max(self.miss[row].abs() / (1.0 + self.volts[row].abs()));
            }
            if most < SETTLED {
                break;
            }
            let mut miss = std::mem::take(&mut self.miss);
            self.bend(view, &mut miss, 1);
            self.miss = miss;
            let mut largest = 0.0_f64;
            for k in 0..n {
                self.volts[k] += self.miss[k];
                largest = largest.max(self.miss[k].abs() / (1.0 + self.volts[k].abs()));
            }
            // Nothing conducts, before or after: that was exact.
            let quiet = |k: usize| {
                let volts = self.volts[k];
                dead(winding_a[k], volts) || suppressors(k).iter().all(|s| s.quiet(volts))
            };
            if self.bent.is_empty() && (0..n).all(quiet) {
                break;
            }
            for &(k, g) in &self.bent {
                self.current[k] += g * self.miss[k];
            }
            // The next change would be about the square of this one; or rounding is all that is left.
            if largest < NEARLY_SETTLED || (largest < 1e-6 && largest >= last) {
                break;
            }
            last = largest;
        }
    }

    /// Finds the derivatives where the last refresh ended.
    pub fn slopes(&mut self, view: &PortView<f64>) {
        let n = self.current.len();
        let mut slopes = std::mem::take(&mut self.volts_per_ampere);
        slopes.clear();
        slopes.extend(view.impedance.iter().map(|z| -z));
        self.bend(view, &mut slopes, n);
        self.volts_per_ampere = slopes;
        self.known.clear();
        if !self.bent.is_empty() {
            self.known.extend(self.volts.iter().copied().zip(self.winding_a.iter().copied()));
        }
    }

    /// Solves (1 + Z G) x = `rhs` in place, G being the slopes of the suppressors: only the ports whose
    /// suppressor conducts have to be solved together, and the others follow from them.
    fn bend(&mut self, view: &PortView<f64>, rhs: &mut [f64], columns: usize) {
        if self.bent.is_empty() {
            return;
        }
        let n = self.current.len();
        self.work.clear();
        self.part.clear();
        for &(row, _) in &self.bent {
            for &(k, g) in &self.bent {
                let own = if row == k { 1.0 } else { 0.0 };
                self.work.push(own + view.impedance[row * n + k] * g);
            }
            self.part.extend_from_slice(&rhs[row * columns..(row + 1) * columns]);
        }
        dense_solve(&mut self.work, &mut self.part, columns);
        for (row, values) in rhs.chunks_exact_mut(columns).enumerate() {
            if let Some(at) = self.bent.iter().position(|(k, _)| *k == row) {
                values.copy_from_slice(&self.part[at * columns..(at + 1) * columns]);
                continue;
            }
            for (&(k, g), solved) in self.bent.iter().zip(self.part.chunks_exact(columns)) {
                let share = view.impedance[row * n + k] * g;
                for (value, solved) in values.iter_mut().zip(solved) {
                    *value -= share * solved;
                }
            }
        }
    }

    /// Total port currents [A], winding and suppressor together, as of the last refresh.
    #[must_use]
    pub fn port_currents(&self) -> &[f64] {
        &self.current
    }
}

/// Winding currents of an alternating-current network.
#[derive(Clone, Debug, Default)]
pub struct AcPorts {
    /// Current of each port [A], phasor, root-mean-square.
    pub current: Vec<Complex64>,
    /// Inverse of (Z + winding impedance), row by row [S]; valid after [`AcPorts::slopes`].
    pub admittance: Vec<Complex64>,
    factors: SymmetricFactors,
    column: Vec<Complex64>,
}

impl AcPorts {
    /// Finds the port currents for the winding impedances `winding_ohm` [ohm].
    pub fn refresh(&mut self, view: &PortView<Complex64>, winding_ohm: &[Complex64]) {
        let n = winding_ohm.len();
        let whole = &mut self.factors.lower;
        whole.clear();
        whole.extend_from_slice(&view.impedance);
        for (k, ohm) in winding_ohm.iter().enumerate() {
            whole[k * n + k] += *ohm;
        }
        self.factors.factor(n);
        self.current.clear();
        self.current.extend_from_slice(&view.open_v);
        self.factors.solve(&mut self.current, 0);
    }

    /// Finds the inverse for the impedances of the last refresh.
    pub fn slopes(&mut self) {
        let n = self.current.len();
        self.admittance.resize(n * n, Complex64::default());
        for k in 0..n {
            self.column.clear();
            self.column.resize(n, Complex64::default());
            self.column[k] = Complex64::real(1.0);
            self.factors.solve(&mut self.column, k);
            for row in k..n {
                self.admittance[row * n + k] = self.column[row];
                self.admittance[k * n + row] = self.column[row];
            }
        }
    }
}

/// Factors L D L' of the impedances of all ports together. They are symmetric, for networks of
/// windings, resistors and transformers are reciprocal, and every current through them costs power, so
/// no pivot vanishes and none needs to be looked for.
#[derive(Clone, Debug, Default)]
struct SymmetricFactors {
    /// The matrix, of which the lower half counts; then L below the diagonal and 1 / D on it.
    lower: Vec<Complex64>,
    size: usize,
}

impl SymmetricFactors {
    fn factor(&mut self, n: usize) {
        self.size = n;
        for k in 0..n {
            let (above, below) = self.lower.split_at_mut((k + 1) * n);
            let per_pivot = Complex64::real(1.0) / above[k * n + k];
            above[k * n + k] = per_pivot;
            // The column is scaled only once every row has used it as it is.
            for row in k + 1..n {
                let at = (row - k - 1) * n;
                let share = below[at + k] * per_pivot;
                for c in k + 1..=row {
                    let other = below[(c - k - 1) * n + k];
                    below[at + c] -= share * other;
                }
            }
            for row in below.chunks_exact_mut(n) {
                row[k] *= per_pivot;
            }
        }
    }

    /// Solves for `right`, whose entries before `from` are zero; the solution is good from there on.
    fn solve(&self, right: &mut [Complex64], from: usize) {
        let n = self.size;
        for row in from + 1..n {
            let (known, rest) = right.split_at_mut(row);
            for (factor, value) in
                self.lower[row * n + from..row * n + row].iter().zip(&known[from..])
            {
                rest[0] -= factor * value;
            }
        }
        for (k, value) in right.iter_mut().enumerate().skip(from) {
            *value *= self.lower[k * n + k];
        }
        for k in (from..n).rev() {
            for row in k + 1..n {
                let share = self.lower[row * n + k] * right[row];
                right[k] -= share;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dense_solve_exchanges_rows() {
        let mut m = vec![0.0, 2.0, 1.0, 1.0];
        let mut x = vec![4.0, 3.0];
        dense_solve(&mut m, &mut x, 1);
        assert_eq!(x, vec![1.0, 2.0]);
    }

    /// Rows that are left out where nothing is to be taken change no bit of the solution: the same by
    /// the plain method, on matrices with many zeros.
    #[test]
    fn what_is_left_out_changes_nothing() {
        let mut rng = crate::base::Stream::new(3, "ports", "matrices");
        for round in 0..200 {
            let n = 1 + rng.below(9) as usize;
            let columns = 1 + rng.below(n as u64) as usize;
            let mut draw = |sparse: bool| {
                if sparse && rng.below(3) > 0 { 0.0 } else { rng.below(2001) as f64 / 500.0 - 2.0 }
            };
            let mut matrix: Vec<f64> = (0..n * n).map(|_| draw(true)).collect();
            (0..n).for_each(|k| matrix[k * n + k] += 5.0);
            let mut right: Vec<f64> = (0..n * columns).map(|_| draw(false)).collect();
            let (mut m, mut want) = (matrix.clone(), right.clone());
            for k in 0..n {
                let best = (k..n).fold(k, |best, row| {
                    if m[row * n + k].abs() > m[best * n + k].abs() { row } else { best }
                });
                (0..n).for_each(|c| m.swap(k * n + c, best * n + c));
                (0..columns).for_each(|c| want.swap(k * columns + c, best * columns + c));
                for row in k + 1..n {
                    let share = m[row * n + k] * (1.0 / m[k * n + k]);
                    for c in k + 1..n {
                        m[row * n + c] -= share * m[k * n + c];
                    }
                    for c in 0..columns {
                        want[row * columns + c] -= share * want[k * columns + c];
                    }
                }
            }
            for k in (0..n).rev() {
                for c in 0..columns {
                    for other in k + 1..n {
                        want[k * columns + c] -= m[k * n + other] * want[other * columns + c];
                    }
                    want[k * columns + c] *= 1.0 / m[k * n + k];
                }
            }
            dense_solve(&mut matrix, &mut right, columns);
            assert_eq!(right, want, "round {round}");
        }
    }

    /// 24 V behind 2 ohm, then cut off: a coil current of 1 A must find its way through the diode.
    #[test]
    fn freewheel_diode_takes_the_current() {
        let diode =
            super::super::Diode { saturation_a: 2.52e-9, emission_v: 0.0453, series_ohm: 0.1 };
        let view = PortView {
            open_v: vec![0.0],
            impedance: vec![1e8],
            watched_open: vec![],
            watched_gain: vec![],
        };
        let mut ports = DcPorts::default();
        let fitted = [Suppressor::Diode(diode, false)];
        ports.refresh(&view, &[1.0], |_| &fitted);
        assert!((ports.volts[0] + diode.voltage(1.0)).abs() < 1e-6, "{}", ports.volts[0]);
        assert!(ports.port_currents()[0].abs() < 1e-6);
    }

    /// A diode, nothing and a resistor on three ports that share a supply line: Kirchhoff's voltage law
    /// holds at each port, and the slopes are the differences of solutions close by.
    #[test]
    fn ports_that_conduct_bend_those_that_do_not() {
        let diode = super::super::Diode::RECTIFIER;
        let fitted: [Vec<Suppressor>; 3] =
            [vec![Suppressor::Diode(diode, false)], vec![], vec![Suppressor::Resistor(40.0)]];
        let impedance = vec![30.0, 2.0, 1.0, 2.0, 20.0, 3.0, 1.0, 3.0, 50.0];
        let view = PortView { open_v: vec![-3.0, 12.0, 20.0], impedance, ..PortView::default() };
        let solve = |currents: [f64; 3]| {
            let mut ports = DcPorts::default();
            ports.refresh(&view, &currents, |k| &fitted[k]);
            ports
        };
        let at = [0.4, 0.3, 0.2];
        let mut ports = solve(at);
        for row in 0..3 {
            let mut sum = view.open_v[row] - ports.volts[row];
            for (k, winding) in at.iter().enumerate() {
                let through: f64 = fitted[k].iter().map(|s| s.current(ports.volts[k]).0).sum();
                sum -= view.impedance[row * 3 + k] * (winding + through);
            }
            assert!(sum.abs() < 1e-8, "{row}: {sum} V missing");
        }
        assert!(ports.volts[0] < -0.5, "the diode conducts: {} V", ports.volts[0]);
        ports.slopes(&view);
        let step = 1e-4;
        for k in 0..3 {
            let side = |shift: f64| {
                let mut moved = at;
                moved[k] += shift;
                solve(moved).volts
            };
            let (more, less) = (side(step), side(-step));
            for row in 0..3 {
                let want = (more[row] - less[row]) / (2.0 * step);
                let got = ports.volts_per_ampere[row * 3 + k];
                assert!(
                    (got - want).abs() < 1e-4 * want.abs().max(1e-3),
                    "{row} {k}: {got} {want}"
                );
            }
        }
    }

    /// The same currents and inverse as by elimination with row exchange, for windings behind a
    /// common supply, one of them broken.
    #[test]
    fn alternating_currents_agree_with_plain_elimination() {
        let c = Complex64::new;
        let n = 4;
        let mut impedance = vec![c(2.0, 0.4); n * n];
        (0..n).for_each(|k| impedance[k * n + k] += c(0.3 * k as f64, 0.0));
        (impedance[1], impedance[n]) = (c(1.5, -0.2), c(1.5, -0.2));
        let open_v = vec![c(24.0, 0.0), c(24.0, 0.0), c(12.0, 3.0), c(0.0, 0.0)];
        let ohm = [c(8.0, 40.0), c(8.0, 4.0), c(1e8, 10.0), c(3.0, 20.0)];
        let view = PortView { open_v: open_v.clone(), impedance, ..PortView::default() };
        let mut ports = AcPorts::default();
        ports.refresh(&view, &ohm);
        ports.slopes();
        let mut matrix = view.impedance.clone();
        (0..n).for_each(|k| matrix[k * n + k] += ohm[k]);
        let mut unit = vec![c(0.0, 0.0); n * n];
        (0..n).for_each(|k| unit[k * n + k] = c(1.0, 0.0));
        let mut want = open_v;
        dense_solve(&mut matrix.clone(), &mut want, 1);
        dense_solve(&mut matrix, &mut unit, n);
        let near = |a: &[Complex64], b: &[Complex64]| {
            a.iter().zip(b).all(|(a, b)| (a - b).norm_sqr().sqrt() < 1e-12)
        };
        assert!(near(&ports.current, &want), "{:?} {want:?}", ports.current);
        assert!(near(&ports.admittance, &unit), "{:?} {unit:?}", ports.admittance);
    }
}
