//! The window: Bevy opens it, hands on input and draws; all that it shows comes from the screen.

use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use bevy::log::LogPlugin;
use bevy::prelude::*;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured, save_to_disk};
use bevy::window::{ExitCondition, PresentMode, WindowResolution};
use bevy::winit::{UpdateMode, WinitSettings};
use bevy_egui::{EguiContexts, EguiPlugin, EguiPrimaryContextPass, egui};

use super::paper::Paper;
use super::screen::{Order, Screen};
use crate::language::Phrase;
use crate::session::Action;

/// How the window opens.
#[derive(Clone, Debug, Default)]
pub struct Opening {
    /// Size of the window [points]; the usual one if `None`.
    pub size: Option<(u32, u32)>,
    /// Folder for pictures of the window.
    pub pictures: Option<PathBuf>,
    /// File that says after each change where everything that can be clicked lies.
    pub places: Option<PathBuf>,
    /// Take a picture after so many seconds, and close.
    pub close_after_s: Option<f64>,
    /// Done at once, one after the other, before a picture is taken by itself.
    pub actions: Vec<Action>,
    /// Dark paper.
    pub dark: bool,
    /// Size of text, as a step from 0; as the height of the window asks if `None`.
    pub text: Option<usize>,
    /// Let the drawing show everything.
    pub all: Option<bool>,
}

/// Why no window can be opened.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.phrase())]
pub enum Unable {
    /// No display: the id of the message that says why.
    NoDisplay(&'static str),
    /// No graphics.
    NoGraphics,
    /// The window failed while it was open.
    Failed(String),
}

impl Unable {
    /// The same as a sentence without a language yet.
    #[must_use]
    pub fn phrase(&self) -> Phrase {
        match self {
            Unable::NoDisplay(why) => {
                Phrase::new("window-no-display").with("why", Phrase::new(*why))
            }
            Unable::NoGraphics => Phrase::new("window-no-graphics"),
            Unable::Failed(why) => {
                Phrase::new("window-failed").with("why", Phrase::written(why.as_str()))
            }
        }
    }
}

/// Frames until letters that are new to the screen have surely come to it: they are sent with the frame in
/// which they are first used, and may be drawn from the next one on.
const SETTLING: u8 = 3;

#[derive(Resource)]
struct Shown {
    screen: Screen,
    opening: Opening,
    ran_s: f64,
    /// How long the last frame was to stay if nothing happened [s], and how many more are due soon.
    stay_s: f64,
    settling: u8,
    /// Frames until the picture that was asked for is taken, and whether the window closes then.
    picture: Option<(u8, bool)>,
    taken: u32,
    told: String,
    closing: bool,
    record: Arc<Mutex<Record>>,
}

/// What was recorded when the window closed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Record {
    /// Where the attempt is kept, if it is.
    pub path: Option<PathBuf>,
    /// Actions in it.
    pub actions: usize,
    /// Digest of the machine after the last of them.
    pub digest: String,
}

/// Opens the window and lets the learner practise until it is closed.
///
/// # Errors
/// When there is no display or no graphics.
pub fn practise(order: Order, opening: Opening) -> Result<Record, Unable> {
    display()?;
    graphics()?;
    let (width, height) = opening.size.unwrap_or((1280, 800));
    let title = order.reader.fill("window-title", "title", order.scenario.title.as_str());
    let mut screen = Screen::new(order);
    screen.set_paper(if opening.dark { Paper::Dark } else { Paper::Light });
    if let Some(step) = opening.text {
        screen.set_text(step);
    }
    if let Some(all) = opening.all {
        screen.show_all(all);
    }
    for action in &opening.actions {
        screen.act(action.clone());
    }
    let record = Arc::new(Mutex::new(Record::default()));
    let shown = Shown {
        screen,
        opening,
        ran_s: 0.0,
        stay_s: 0.0,
        settling: SETTLING,
        picture: None,
        taken: 0,
        told: String::new(),
        closing: false,
        record: record.clone(),
    };
    // A library that meets a mistake of its own gives up the whole program; tell it instead.
    let hook = std::panic::take_hook();
    let told = Arc::new(Mutex::new(String::new()));
    let note = told.clone();
    std::panic::set_hook(Box::new(move |why| {
        if let Ok(mut told) = note.lock()
            && told.is_empty()
        {
            *told = why.to_string().replace('\n', " ");
        }
    }));
    let ran = std::panic::catch_unwind(std::panic::AssertUnwindSafe(move || {
        App::new()
            .add_plugins(
                DefaultPlugins
                    .set(WindowPlugin {
                        primary_window: Some(Window {
                            title,
                            resolution: WindowResolution::new(width, height),
                            present_mode: PresentMode::AutoVsync,
                            ..Window::default()
                        }),
                        exit_condition: ExitCondition::OnPrimaryClosed,
                        ..WindowPlugin::default()
                    })
                    .set(LogPlugin { filter: "off".to_owned(), ..LogPlugin::default() }),
            )
            .add_plugins(EguiPlugin::default())
            .insert_resource(WinitSettings::desktop_app())
            .insert_resource(ClearColor(Color::BLACK))
            .insert_resource(shown)
            .add_systems(Startup, camera)
            .add_systems(EguiPrimaryContextPass, frame)
            .run()
    }));
    std::panic::set_hook(hook);
    let told = told.lock().map(|t| t.clone()).unwrap_or_default();
    match ran {
        Ok(exit) if exit.is_success() => Ok(record.lock().map(|r| r.clone()).unwrap_or_default()),
        Ok(_) => Err(Unable::Failed(told)),
        Err(_) => Err(Unable::Failed(told)),
    }
}

/// Whether there is a display.
#[cfg(target_os = "linux")]
fn display() -> Result<(), Unable> {
    let named = |name| std::env::var(name).ok().filter(|v| !v.is_empty());
    match (named("DISPLAY"), named("WAYLAND_DISPLAY")) {
        (Some(display), _) if answers(&display) => Ok(()),
        (Some(_), _) => Err(Unable::NoDisplay("window-display-silent")),
        (None, Some(_)) => Err(Unable::NoDisplay("window-display-wayland")),
        (None, None) => Err(Unable::NoDisplay("window-display-unset")),
    }
}

/// Elsewhere there always is one.
#[cfg(not(target_os = "linux"))]
fn display() -> Result<(), Unable> {
    Ok(())
}

/// Whether somebody listens at a display, such as `:0`, `:0.0` or `host:10`: on a socket of this machine, named
/// or abstract, or at port 6000 and up (X Window System protocol, connection setup; from memory). A name that
/// is not understood may be one.
#[cfg(target_os = "linux")]
fn answers(display: &str) -> bool {
    use std::os::linux::net::SocketAddrExt;
    use std::os::unix::net::{SocketAddr, UnixStream};
    let Some((host, rest)) = display.rsplit_once(':') else { return true };
    let Ok(number) = rest.split('.').next().unwrap_or_default().parse::<u16>() else { return true };
    if !matches!(host, "" | "unix") {
        let port = number.saturating_add(6000);
        return std::net::TcpStream::connect((host, port)).is_ok();
    }
    let path = format!("/tmp/.X11-unix/X{number}");
    UnixStream::connect(&path).is_ok()
        || SocketAddr::from_abstract_name(path)
            .is_ok_and(|address| UnixStream::connect_addr(&address).is_ok())
}

/// Whether anything can draw.
fn graphics() -> Result<(), Unable> {
    let instance = wgpu::Instance::new(wgpu::InstanceDescriptor::new_without_display_handle());
    let options = wgpu::RequestAdapterOptions::default();
    bevy::tasks::block_on(instance.request_adapter(&options))
        .map(|_| ())
        .map_err(|_| Unable::NoGraphics)
}

fn camera(mut commands: Commands) {
    commands.spawn(Camera2d);
}

/// A frame of the screen.
fn frame(
    mut contexts: EguiContexts,
    mut shown: ResMut<Shown>,
    mut settings: ResMut<WinitSettings>,
    mut commands: Commands,
    mut exit: MessageWriter<AppExit>,
    time: Res<Time<Real>>,
) -> Result {
    let ctx = contexts.ctx_mut()?.clone();
    let wall_s = time.delta_secs_f64();
    let shown = &mut *shown;
    // Whoever is to be in a picture holds still.
    let passes_s = if shown.picture.is_some() || shown.closing { 0.0 } else { wall_s };
    ctx.options_mut(|o| o.zoom_with_keyboard = false);
    let mut ui = egui::Ui::new(
        ctx.clone(),
        egui::Id::new("screen"),
        egui::UiBuilder::new().layer_id(egui::LayerId::background()).max_rect(ctx.viewport_rect()),
    );
    shown.screen.frame(&mut ui, passes_s);
    shown.ran_s += wall_s;
    if let Some(desk) = shown.screen.desk()
        && let Ok(mut record) = shown.record.lock()
        && (record.digest.is_empty() || record.actions != desk.session().log().len())
    {
        record.path = desk.path().map(PathBuf::from);
        record.actions = desk.session().log().len();
        record.digest = desk.session().rig().plant().digest();
    }
    // Nothing moves: nothing is drawn until something happens.
    shown.settling = if wall_s < 0.9 * shown.stay_s || shown.screen.moving() {
        SETTLING
    } else {
        shown.settling.saturating_sub(1)
    };
    let wait = if shown.screen.moving() || shown.picture.is_some() {
        Duration::from_millis(16)
    } else if shown.settling > 0 {
        Duration::from_millis(50)
    } else if shown.screen.running() || shown.opening.close_after_s.is_some() {
        Duration::from_millis(200)
    } else {
        Duration::from_secs(2)
    };
    shown.stay_s = wait.as_secs_f64();
    settings.focused_mode = UpdateMode::reactive_low_power(wait);
    settings.unfocused_mode = UpdateMode::reactive_low_power(wait);
    if shown.screen.quit() {
        exit.write(AppExit::Success);
    }
    if shown.screen.take_picture() {
        shown.picture = Some((SETTLING, false));
    }
    if let Some(after) = shown.opening.close_after_s
        && shown.ran_s >= after
        && !shown.closing
    {
        shown.closing = true;
        shown.picture = Some((SETTLING, true));
    }
    match shown.picture {
        Some((0, closes)) => {
            shown.picture = None;
            let pictures = shown.opening.pictures.clone();
            let mut picture = commands.spawn(Screenshot::primary_window());
            if closes {
                let name = pictures.unwrap_or_else(|| "spoolbench.png".into());
                picture.observe(save_to_disk(name)).observe(
                    |_: On<ScreenshotCaptured>, mut exit: MessageWriter<AppExit>| {
                        exit.write(AppExit::Success);
                    },
                );
            } else {
                shown.taken += 1;
                let name = format!("spoolbench-{}.png", shown.taken);
                picture.observe(save_to_disk(pictures.unwrap_or_default().join(name)));
            }
        }
        Some((frames, closes)) => shown.picture = Some((frames - 1, closes)),
        None => {}
    }
    // A picture that never comes does not keep the window open.
    if let Some(after) = shown.opening.close_after_s
        && shown.ran_s >= after + 30.0
    {
        exit.write(AppExit::Success);
    }
    if let Some(file) = &shown.opening.places {
        let text: String = shown
            .screen
            .spots()
            .iter()
            .map(|(name, r)| format!("{:.0} {:.0} {name}\n", r.center().x, r.center().y))
            .collect();
        if text != shown.told {
            // Written aside and moved: a reader never meets half a file.
            let aside = file.with_extension("tmp");
            if std::fs::write(&aside, &text).and_then(|()| std::fs::rename(&aside, file)).is_ok() {
                shown.told = text;
            }
        }
    }
    Ok(())
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    #[test]
    fn a_display_that_nobody_serves_does_not_answer() {
        assert!(!answers(":64999"));
        assert!(!answers("unix:64999.0"));
        assert!(answers("/some/other/kind"));
    }
}
