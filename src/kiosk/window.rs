//! The window: it paints the kiosk's sheet and tells the kiosk of keys, pointer and time.
//!
//! What stands still is painted once. What moves is painted in bands across the page, so that no
//! more of the page than that is painted again when it changes.

mod bands;
mod keys;
mod paint;

use std::time::{Duration, Instant};

use iced::widget::Stack;
use iced::widget::canvas::{self, Canvas};
use iced::{
    Element, Length, Rectangle, Renderer, Size, Subscription, Task, Theme, mouse, touch, window,
};

use super::act::{Act, Press};
use super::model::Kiosk;
use super::paper::Paper;
use super::sheet::Sheet;
use crate::engraving::{Ink, Point};
use crate::marking::event::KeySet;
use crate::time::Time;
use bands::Band;

/// Between two looks while something moves, and while nothing does.
const BUSY: Duration = Duration::from_millis(16);
const IDLE: Duration = Duration::from_millis(200);
/// What moves by itself is drawn no more often than this, which is smooth enough for a rule that
/// shortens; what a hand does is drawn at once.
const DRAWN: Duration = Duration::from_millis(33);

/// How a window looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Whether it leaves the rest of the screen alone.
    pub windowed: bool,
    /// How much larger text is than usual, 1 to 2.
    pub enlarged: f32,
    /// Light on dark.
    pub dark: bool,
}

/// Something that happened to the window.
#[derive(Debug, Clone)]
pub enum Message {
    /// Time has passed.
    Tick,
    /// It has another size.
    Resized(Size),
    /// A key of the computer.
    Key(Press),
    /// The pointer was pressed here, or a finger laid down.
    Pressed(Point),
    /// A finger was laid down.
    Touched(u64, Point),
    /// A finger was lifted.
    Lifted(u64),
    /// It no longer has the computer's keys.
    Unfocused,
    /// Somebody wants to close it: the room is not left that way.
    CloseRequested,
}

/// A window on a kiosk.
pub struct Window {
    kiosk: Kiosk,
    begun: Instant,
    paper: Paper,
    sheet: Sheet<Act>,
    still: canvas::Cache,
    bands: Vec<Band>,
    /// When the sheet was last drawn, and what the hands held then.
    drawn: (Instant, KeySet),
}

/// Opens the window, and returns when it is left.
///
/// # Errors
/// Where the computer has no screen to show it on.
pub fn run(kiosk: impl FnOnce() -> Kiosk + 'static, look: Look) -> iced::Result {
    let kiosk = std::cell::RefCell::new(Some(kiosk));
    let boot = move || {
        let make = kiosk.borrow_mut().take();
        let make = make.expect("a window is opened once");
        Window::new(make(), look)
    };

    iced::application(boot, Window::update, Window::view)
        .title(Window::title)
        .style(Window::style)
        .subscription(Window::subscription)
        .window(window::Settings {
            size: Size::new(Paper::LEAST.0, Paper::LEAST.1),
            min_size: Some(Size::new(Paper::LEAST.0, Paper::LEAST.1)),
            fullscreen: !look.windowed,
            exit_on_close_request: false,
            ..window::Settings::default()
        })
        .run()
}

impl Window {
    /// Makes a window of the least size.
    pub fn new(kiosk: Kiosk, look: Look) -> Self {
        let paper = Paper::new(Paper::LEAST.0, Paper::LEAST.1, look.enlarged, look.dark);

        Self {
            sheet: kiosk.sheet(paper),
            kiosk,
            begun: Instant::now(),
            paper,
            still: canvas::Cache::new(),
            bands: Vec::new(),
            drawn: (Instant::now(), KeySet::EMPTY),
        }
    }

    fn now(&self) -> Time {
        Time::from_tenths(i64::try_from(self.begun.elapsed().as_micros() / 100).unwrap_or(i64::MAX))
    }

    /// The paper, which the window itself lays under everything.
    fn style(&self, _: &Theme) -> iced::theme::Style {
        iced::theme::Style {
            background_color: paint::colour(&self.paper, Ink::Paper),
            text_color: paint::colour(&self.paper, Ink::Plain),
        }
    }

    /// Says which page is open, for lists of windows.
    fn title(&self) -> String {
        format!("Viva Voicing · {}", super::pages::name(&self.kiosk))
    }

    /// Takes in what happened.
    pub fn update(&mut self, message: Message) -> Task<Message> {
        let is_tick = matches!(message, Message::Tick);
        let changes = self.kiosk.changes();
        self.kiosk.tick(self.now());
        match message {
            Message::Tick => {}
            // A room is not left that way; a result that is looked at is.
            Message::CloseRequested => self.kiosk.leave_alone(),
            Message::Resized(size) => {
                self.paper = Paper::new(
                    size.width,
                    size.height,
                    self.paper.enlarged,
                    self.paper.dark,
                );
            }
            Message::Key(press) => self.kiosk.press(&press, self.paper),
            Message::Pressed(at) => self.kiosk.point(at, self.paper),
            Message::Touched(finger, at) => self.kiosk.touch(finger, at, self.paper),
            Message::Lifted(finger) => self.kiosk.lift(finger),
            Message::Unfocused => self.kiosk.let_go(),
        }
        let held = self.kiosk.held();
        let is_due = self.kiosk.is_busy() && self.drawn.0.elapsed() >= DRAWN;
        if !is_tick || is_due || held != self.drawn.1 || changes != self.kiosk.changes() {
            self.draw();
            self.drawn = (Instant::now(), held);
        }

        if self.kiosk.has_left() {
            iced::exit()
        } else {
            Task::none()
        }
    }

    /// Draws the sheet anew, and forgets what is painted of it where it has changed.
    fn draw(&mut self) {
        let sheet = self.kiosk.sheet(self.paper);

        if sheet.marks != self.sheet.marks || sheet.paper != self.sheet.paper {
            self.still.clear();
        }
        if sheet.paper != self.sheet.paper {
            self.bands.clear();
        }
        if sheet.moving != self.sheet.moving || self.bands.is_empty() {
            bands::update(&mut self.bands, &sheet.moving);
        }
        self.sheet = sheet;
    }

    /// Shows the sheet.
    pub fn view(&self) -> Element<'_, Message> {
        let page = Canvas::new(self).width(Length::Fill).height(Length::Fill);
        let bands = self.bands.iter().map(|band| band.view(&self.paper));

        Stack::with_children(std::iter::once(page.into()).chain(bands)).into()
    }

    /// What the window listens to.
    pub fn subscription(&self) -> Subscription<Message> {
        let tick = if self.kiosk.is_busy() { BUSY } else { IDLE };

        Subscription::batch([
            iced::time::every(tick).map(|_| Message::Tick),
            iced::event::listen_with(heard),
            window::close_requests().map(|_| Message::CloseRequested),
        ])
    }
}

/// Takes an event that concerns the whole window.
fn heard(event: iced::Event, _: iced::event::Status, _: window::Id) -> Option<Message> {
    match event {
        iced::Event::Keyboard(event) => keys::press(&event).map(Message::Key),
        iced::Event::Window(window::Event::Resized(size)) => Some(Message::Resized(size)),
        iced::Event::Window(window::Event::Opened { size, .. }) => Some(Message::Resized(size)),
        iced::Event::Window(window::Event::Unfocused) => Some(Message::Unfocused),
        _ => None,
    }
}

impl canvas::Program<Message> for Window {
    type State = ();

    fn update(
        &self,
        (): &mut (),
        event: &canvas::Event,
        bounds: Rectangle,
        cursor: mouse::Cursor,
    ) -> Option<canvas::Action<Message>> {
        let message = match event {
            canvas::Event::Mouse(mouse::Event::ButtonPressed(mouse::Button::Left)) => {
                let at = cursor.position_in(bounds)?;
                Message::Pressed(Point::new(at.x, at.y))
            }
            canvas::Event::Touch(touch::Event::FingerPressed { id, position }) => {
                Message::Touched(id.0, Point::new(position.x, position.y))
            }
            canvas::Event::Touch(
                touch::Event::FingerLifted { id, .. } | touch::Event::FingerLost { id, .. },
            ) => Message::Lifted(id.0),
            _ => return None,
        };

        Some(canvas::Action::publish(message).and_capture())
    }

    fn draw(
        &self,
        (): &(),
        renderer: &Renderer,
        _: &Theme,
        bounds: Rectangle,
        _: mouse::Cursor,
    ) -> Vec<canvas::Geometry> {
        let still = self.still.draw(renderer, bounds.size(), |frame| {
            paint::marks(frame, &self.paper, &self.sheet.marks);
        });

        vec![still]
    }

    fn mouse_interaction(
        &self,
        (): &(),
        bounds: Rectangle,
        cursor: mouse::Cursor,
    ) -> mouse::Interaction {
        let over = cursor
            .position_in(bounds)
            .and_then(|at| self.sheet.hit(Point::new(at.x, at.y)));

        match over {
            Some(_) => mouse::Interaction::Pointer,
            None => mouse::Interaction::default(),
        }
    }
}
