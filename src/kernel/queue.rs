//! The event queue: what happens next, in one order that every run agrees on.
//!
//! A four-way implicit heap over packed keys; payloads lie still in a slab beside it. Four
//! children share one cache line of keys, which is what makes a long queue cheap.

use crate::base::SimTime;

/// Children of one heap node.
const ARITY: usize = 4;
/// Bits of the sequence number inside a packed key.
const SEQUENCE_BITS: u32 = 56;
/// Cancelled entries that may lie in the heap before it is worth sweeping them out.
const SWEEP_ABOVE: usize = 32;

/// A receipt for one scheduled event, good for cancelling it once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ticket {
    slot: u32,
    sequence: u64,
}

#[derive(Clone, Debug)]
struct Payload<E> {
    /// Sequence number of the push that filled this slot; a stale key or ticket disagrees.
    sequence: u64,
    event: Option<E>,
}

/// Events ordered by (time, phase, order of pushing).
///
/// Two queues given the same calls return the same events in the same order. `push` and `pop`
/// cost O(log n); `cancel` costs O(1) amortised: at most half of the heap is ever dead.
///
/// ```
/// use spoolbench::base::SimTime;
/// use spoolbench::kernel::EventQueue;
/// let mut queue = EventQueue::new();
/// let late = queue.push(SimTime::from_millis(40), 0, "spool arrives");
/// queue.push(SimTime::from_millis(10), 0, "relay picks up");
/// assert!(queue.cancel(late));
/// assert_eq!(queue.pop(), Some((SimTime::from_millis(10), 0, "relay picks up")));
/// assert_eq!(queue.pop(), None);
/// ```
#[derive(Clone, Debug)]
pub struct EventQueue<E> {
    /// Heap of packed keys: time, phase, sequence from the top bits down.
    keys: Vec<u128>,
    /// Payload slot of the key at the same place in the heap.
    slots: Vec<u32>,
    payloads: Vec<Payload<E>>,
    /// Empty slots, last freed first, so that a steady queue stays in warm memory.
    free: Vec<u32>,
    next_sequence: u64,
    /// Keys in the heap whose event was cancelled. The top of the heap is never one of them.
    dead: usize,
}

impl<E> Default for EventQueue<E> {
    fn default() -> Self {
        Self::new()
    }
}

fn pack(time: SimTime, phase: u8, sequence: u64) -> u128 {
    let low = (u64::from(phase) << SEQUENCE_BITS) | sequence;
    (u128::from(time.as_nanos()) << 64) | u128::from(low)
}

fn time_of(key: u128) -> SimTime {
    SimTime::from_nanos((key >> 64) as u64)
}

fn phase_of(key: u128) -> u8 {
    ((key as u64) >> SEQUENCE_BITS) as u8
}

fn sequence_of(key: u128) -> u64 {
    (key as u64) & ((1 << SEQUENCE_BITS) - 1)
}

impl<E> EventQueue<E> {
    /// An empty queue.
    #[must_use]
    pub fn new() -> Self {
        EventQueue {
            keys: Vec::new(),
            slots: Vec::new(),
            payloads: Vec::new(),
            free: Vec::new(),
            next_sequence: 0,
            dead: 0,
        }
    }

    /// Schedules `event` at `time`; a lower `phase` goes first at the same time, and within a
    /// phase the earlier push goes first.
    pub fn push(&mut self, time: SimTime, phase: u8, event: E) -> Ticket {
        let sequence = self.next_sequence;
        assert!(sequence < 1 << SEQUENCE_BITS, "the event sequence has run out of numbers");
        self.next_sequence += 1;
        let payload = Payload { sequence, event: Some(event) };
        let slot = if let Some(slot) = self.free.pop() {
            self.payloads[slot as usize] = payload;
            slot
        } else {
            let slot = self.payloads.len();
            assert!(slot < u32::MAX as usize, "the event queue is full");
            self.payloads.push(payload);
            slot as u32
        };
        let key = pack(time, phase, sequence);
        self.keys.push(key);
        self.slots.push(slot);
        self.rise(self.keys.len() - 1, key, slot);
        Ticket { slot, sequence }
    }

    /// Withdraws an event that has neither been popped nor cancelled; says whether it did.
    pub fn cancel(&mut self, ticket: Ticket) -> bool {
        let Some(payload) = self.payloads.get_mut(ticket.slot as usize) else {
            return false;
        };
        if payload.sequence != ticket.sequence || payload.event.take().is_none() {
            return false;
        }
        self.free.push(ticket.slot);
        self.dead += 1;
        if self.dead > SWEEP_ABOVE && self.dead * 2 > self.keys.len() {
            self.sweep();
        } else {
            self.drop_dead_top();
        }
        true
    }

    /// The time of the next event, if there is one.
    #[must_use]
    pub fn next_time(&self) -> Option<SimTime> {
        self.keys.first().map(|&key| time_of(key))
    }

    /// Takes the next event: its time, its phase and what it is.
    pub fn pop(&mut self) -> Option<(SimTime, u8, E)> {
        let (key, slot) = self.remove_top()?;
        let event = self.payloads[slot as usize].event.take()?;
        self.free.push(slot);
        self.drop_dead_top();
        Some((time_of(key), phase_of(key), event))
    }

    /// Number of events that will still be popped.
    #[must_use]
    pub fn len(&self) -> usize {
        self.keys.len() - self.dead
    }

    /// Whether no event is left.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    fn is_live(&self, key: u128, slot: u32) -> bool {
        let payload = &self.payloads[slot as usize];
        payload.sequence == sequence_of(key) && payload.event.is_some()
    }

    /// Keeps the promise that the top of the heap is live, so that `next_time` can be read
    /// without changing anything.
    fn drop_dead_top(&mut self) {
        while self.dead > 0 {
            match (self.keys.first(), self.slots.first()) {
                (Some(&key), Some(&slot)) if !self.is_live(key, slot) => {
                    self.remove_top();
                    self.dead -= 1;
                }
                _ => return,
            }
        }
    }

    /// Rebuilds the heap from its live keys. Order never depends on the heap's shape, because
    /// no two keys are equal.
    fn sweep(&mut self) {
        let mut kept = 0;
        for place in 0..self.keys.len() {
            let (key, slot) = (self.keys[place], self.slots[place]);
            if self.is_live(key, slot) {
                self.keys[kept] = key;
                self.slots[kept] = slot;
                kept += 1;
            }
        }
        self.keys.truncate(kept);
        self.slots.truncate(kept);
        self.dead = 0;
        for place in (0..kept.div_ceil(ARITY)).rev() {
            let (key, slot) = (self.keys[place], self.slots[place]);
            let hole = self.sink(place);
            self.rise_above(place, hole, key, slot);
        }
    }

    fn remove_top(&mut self) -> Option<(u128, u32)> {
        let last_key = self.keys.pop()?;
        let last_slot = self.slots.pop()?;
        let (Some(&key), Some(&slot)) = (self.keys.first(), self.slots.first()) else {
            return Some((last_key, last_slot));
        };
        // The last leaf nearly always belongs near the bottom again: let the hole sink all the
        // way, then lift the leaf from there. That spares one comparison a level.
        let hole = self.sink(0);
        self.rise_above(0, hole, last_key, last_slot);
        Some((key, slot))
    }

    /// Moves the hole at `place` down to a leaf along the smallest children; returns the leaf.
    fn sink(&mut self, place: usize) -> usize {
        let keys = self.keys.as_mut_slice();
        let slots = &mut self.slots[..keys.len()];
        let mut hole = place;
        loop {
            let first = hole * ARITY + 1;
            let least = if let Some(&[a, b, c, d]) = keys
                .get(first..first + ARITY)
                .and_then(|four| <&[u128; ARITY]>::try_from(four).ok())
            {
                let (ab, ab_key) = if b < a { (1, b) } else { (0, a) };
                let (cd, cd_key) = if d < c { (3, d) } else { (2, c) };
                first + if cd_key < ab_key { cd } else { ab }
            } else if first < keys.len() {
                let mut least = first;
                for child in first + 1..keys.len() {
                    if keys[child] < keys[least] {
                        least = child;
                    }
                }
                least
            } else {
                return hole;
            };
            keys[hole] = keys[least];
            slots[hole] = slots[least];
            hole = least;
        }
    }

    fn rise(&mut self, hole: usize, key: u128, slot: u32) {
        self.rise_above(0, hole, key, slot);
    }

    /// Puts `key` into the hole, or above it as far as `root` where it is smaller than a parent.
    fn rise_above(&mut self, root: usize, mut hole: usize, key: u128, slot: u32) {
        let keys = self.keys.as_mut_slice();
        let slots = &mut self.slots[..keys.len()];
        while hole > root {
            let parent = (hole - 1) / ARITY;
            if keys[parent] < key {
                break;
            }
            keys[hole] = keys[parent];
            slots[hole] = slots[parent];
            hole = parent;
        }
        keys[hole] = key;
        slots[hole] = slot;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ns(time: u64) -> SimTime {
        SimTime::from_nanos(time)
    }

    #[test]
    fn ties_leave_in_phase_order_then_in_order_of_arrival() {
        let mut queue = EventQueue::new();
        queue.push(ns(5), 1, "third");
        queue.push(ns(5), 0, "first");
        queue.push(ns(5), 1, "fourth");
        queue.push(ns(5), 0, "second");
        queue.push(ns(4), 255, "earliest");
        let order: Vec<_> = std::iter::from_fn(|| queue.pop()).map(|(_, _, e)| e).collect();
        assert_eq!(order, ["earliest", "first", "second", "third", "fourth"]);
    }

    #[test]
    fn a_ticket_cancels_once_and_never_another_event() {
        let mut queue = EventQueue::new();
        let first = queue.push(ns(1), 0, 1);
        assert!(queue.cancel(first));
        assert!(!queue.cancel(first));
        // The slot is used again; the old ticket must not reach the new event.
        let second = queue.push(ns(2), 0, 2);
        assert!(!queue.cancel(first));
        assert_eq!(queue.pop(), Some((ns(2), 0, 2)));
        assert!(!queue.cancel(second));
        assert!(queue.is_empty());
        assert_eq!(queue.next_time(), None);
    }

    #[test]
    fn cancelled_events_do_not_pile_up() {
        let mut queue = EventQueue::new();
        for kept in 0..10 {
            queue.push(ns(1_000 + kept), 0, kept);
        }
        for round in 0..100_000 {
            let ticket = queue.push(ns(5_000_000 + round), 0, 0);
            assert!(queue.cancel(ticket));
        }
        assert_eq!(queue.len(), 10);
        assert!(queue.keys.len() < 100, "heap holds {} keys", queue.keys.len());
        assert!(queue.payloads.len() < 100);
        assert!(queue.free.len() < 100);
    }

    #[derive(Clone, Debug)]
    enum Call {
        Push(u64, u8),
        Pop,
        Cancel(usize),
    }

    fn call() -> impl Strategy<Value = Call> {
        prop_oneof![
            3 => (0u64..50, 0u8..3).prop_map(|(time, phase)| Call::Push(time, phase)),
            1 => Just(Call::Pop),
            2 => (0usize..400).prop_map(Call::Cancel),
        ]
    }

    proptest! {
        #[test]
        fn behaves_like_a_sorted_list(calls in proptest::collection::vec(call(), 0..400)) {
            let mut queue = EventQueue::new();
            let mut list: Vec<(u64, u8, usize)> = Vec::new();
            let mut tickets = Vec::new();
            for call in calls {
                match call {
                    Call::Push(time, phase) => {
                        let number = tickets.len();
                        tickets.push(queue.push(ns(time), phase, number));
                        list.push((time, phase, number));
                        list.sort_unstable();
                    }
                    Call::Pop => {
                        let expected = (!list.is_empty()).then(|| list.remove(0));
                        prop_assert_eq!(queue.pop(), expected.map(|(t, p, n)| (ns(t), p, n)));
                    }
                    Call::Cancel(number) => {
                        let place = list.iter().position(|&(_, _, n)| n == number);
                        if let Some(&ticket) = tickets.get(number) {
                            prop_assert_eq!(queue.cancel(ticket), place.is_some());
                        }
                        if let Some(place) = place {
                            list.remove(place);
                        }
                    }
                }
                prop_assert_eq!(queue.len(), list.len());
                prop_assert_eq!(queue.next_time(), list.first().map(|&(t, _, _)| ns(t)));
            }
            let rest: Vec<_> = std::iter::from_fn(|| queue.pop()).map(|(_, _, n)| n).collect();
            let expected: Vec<_> = list.into_iter().map(|(_, _, n)| n).collect();
            prop_assert_eq!(rest, expected);
        }
    }
}
