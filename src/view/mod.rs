//! The practice window (feature `view`): the bench on two facing sheets, with panel, machine, tools and
//! logbook.
//!
//! Bevy opens the window, hands on input and draws the frames (`window`); nothing else here names it.
//! What is simulated lives in one [`Desk`], never in Bevy's world: the same session that the console
//! and the marker drive, journalled the same way. The [`Screen`] paints each frame with egui from the
//! sheets of the drawing room and turns clicks and keys into actions.
//!
//! ```
//! use spoolbench::view::Camera;
//! use spoolbench::drawing::Sheet;
//! use bevy_egui::egui::{Rect, pos2};
//! let sheet = Sheet { width: 20.0, height: 10.0, ..Sheet::default() };
//! let zone = Rect::from_min_max(pos2(0.0, 0.0), pos2(208.0, 208.0));
//! assert_eq!(Camera::default().place(&sheet, zone, 0.0).scale, 10.0);
//! ```

mod author;
mod book;
mod camera;
mod course;
mod debrief;
mod desk;
mod glass;
mod inside;
mod layout;
mod machine;
mod panel;
mod paper;
mod scope;
mod screen;
mod spots;
mod strokes;
mod tools;
mod tray;
mod window;

pub use camera::{Camera, Placed};
pub use desk::{Caption, Desk, DeskError, RATES};
pub use paper::{Inks, Paper, TEXT_SCALES};
pub use screen::{Order, Screen};
pub use window::{Opening, Record, Unable, practise};
