//! The way from the driver's callback to the room: bounded, in order, and never waiting.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Receiver, SyncSender};
use std::time::Instant;

/// How many pieces of messages are kept. Two hands make some 200 messages in a dense second.
pub(super) const ROOM: usize = 8192;
/// The longest piece, in bytes; only system exclusive messages are longer.
const PIECE: usize = 8;

/// Numbers the openings of inputs, so that what an input sent before it was lost is not taken for
/// what it sends after.
pub(super) type Source = u32;

/// A piece of what an instrument sent.
#[derive(Debug, Clone, Copy)]
pub(super) struct Message {
    pub(super) source: Source,
    pub(super) arrived: Instant,
    pub(super) driver_us: u64,
    bytes: [u8; PIECE],
    length: u8,
}

impl Message {
    pub(super) fn bytes(&self) -> &[u8] {
        &self.bytes[..usize::from(self.length)]
    }
}

/// The driver's end of the queue.
#[derive(Debug, Clone)]
pub(super) struct Outlet {
    sender: SyncSender<Message>,
    missed: Arc<AtomicU64>,
}

/// How many messages found no room.
#[derive(Debug)]
pub(super) struct Missed(Arc<AtomicU64>);

impl Missed {
    /// Returns how many there were since the last time.
    pub(super) fn take(&self) -> u64 {
        self.0.swap(0, Ordering::Relaxed)
    }
}

/// Makes a queue.
pub(super) fn queue() -> (Outlet, Receiver<Message>, Missed) {
    let (sender, receiver) = mpsc::sync_channel(ROOM);
    let missed = Arc::new(AtomicU64::new(0));
    let outlet = Outlet {
        sender,
        missed: Arc::clone(&missed),
    };

    (outlet, receiver, Missed(missed))
}

impl Outlet {
    /// Puts a message in, in pieces; where there is no room it is counted as missed.
    pub(super) fn put(&self, source: Source, arrived: Instant, driver_us: u64, bytes: &[u8]) {
        // Of a system exclusive message only the beginning matters: it ends running status.
        let bytes = match bytes.first() {
            Some(0xF0) => &bytes[..1],
            _ => bytes,
        };

        for piece in bytes.chunks(PIECE) {
            let mut message = Message {
                source,
                arrived,
                driver_us,
                bytes: [0; PIECE],
                length: piece.len() as u8,
            };
            message.bytes[..piece.len()].copy_from_slice(piece);

            if self.sender.try_send(message).is_err() {
                let _ = self.missed.fetch_add(1, Ordering::Relaxed);
                return;
            }
        }
    }
}
