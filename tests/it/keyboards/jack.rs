//! A real JACK server without hardware, and an independent player on it.
//!
//! The JACK library finds its server by the environment, so each test runs itself again as a
//! process of its own, with a private server. `tests/servers/README.md` says what is needed.

pub(crate) mod room;
mod sitting;

use std::time::Duration;

use viva_voicing::instruments::keyboard::{Fact, Keyboard as _, Preference, Touch};
use viva_voicing::instruments::midi;
use viva_voicing::time::Time;

use self::room::{Listener, Player, Server, in_a_room, say};

const SOON: Duration = Duration::from_secs(10);

fn rtkeys() -> Preference {
    Preference {
        name: Some("rtkeys:Keys".to_owned()),
        ..Preference::default()
    }
}

fn found() -> Fact {
    let name = "rtkeys:Keys".to_owned();
    Fact::Found { name }
}

fn lost() -> Fact {
    let name = "rtkeys:Keys".to_owned();
    Fact::Lost { name }
}

/// The milliseconds between two moments in microseconds.
fn between(from: u64, to: u64) -> f64 {
    (to as f64 - from as f64) / 1000.0
}

/// The nearest-rank percentile.
fn percentile(sorted: &[f64], percent: usize) -> f64 {
    sorted[(sorted.len() * percent).div_ceil(100).max(1) - 1]
}

fn figures(what: &str, mut ms: Vec<f64>) -> f64 {
    ms.sort_by(f64::total_cmp);
    let p99 = percentile(&ms, 99);
    say(&format!(
        "{what}: median {:.2} ms, p99 {p99:.2} ms, most {:.2} ms, of {}",
        percentile(&ms, 50),
        ms[ms.len() - 1],
        ms.len()
    ));

    p99
}

#[test]
fn five_thousand_strikes_arrive_in_order_and_soon() {
    in_a_room("five_thousand_strikes_arrive_in_order_and_soon", |_| {
        let mut listener = Listener::new(rtkeys());
        let mut player = Player::new();
        let _ = player.ask("open", SOON);
        assert!(listener.until(SOON, |heard| heard.tells(&found())));

        player.tell("chords 1000 4 36 43 52 59 64");
        let minute = Duration::from_secs(60);
        let all = listener.until(minute, |heard| heard.ups() >= 5000);
        let sent = player.strikes(SOON);
        let struck = listener.heard.strikes();
        assert_eq!(sent.len(), 5000);
        assert!(all, "{} of {} arrived", struck.len(), sent.len());

        let keys = |strikes: &[room::Strike]| -> Vec<_> {
            strikes
                .iter()
                .map(|strike| (strike.key, strike.velocity))
                .collect()
        };
        assert!(keys(&sent) == keys(&struck), "none lost, none out of order");
        let late: Vec<_> = sent
            .iter()
            .zip(&struck)
            .map(|(sent, struck)| between(sent.raw_us, struck.raw_us))
            .collect();
        let p99 = figures("send to poll, 5,000 strikes", late);

        // How true the times are that the events carry, the constant way through the server aside.
        let mut ways: Vec<_> = sent
            .iter()
            .zip(&struck)
            .map(|(sent, struck)| struck.at.as_ms() - sent.raw_us as f64 / 1000.0)
            .collect();
        ways.sort_by(f64::total_cmp);
        let usual = percentile(&ways, 50);
        let off = ways.iter().map(|way| (way - usual).abs()).collect();
        let true_to = figures("event time off the hand's, 5,000 strikes", off);

        listener.heard.is_in_order();
        // The aim is 5 ms; other programs may be busy on this machine.
        assert!(p99 < 20.0, "p99 {p99:.2} ms");
        assert!(true_to < 20.0, "p99 {true_to:.2} ms");
    });
}

#[test]
fn a_burst_of_a_thousand_strikes_loses_none() {
    in_a_room("a_burst_of_a_thousand_strikes_loses_none", |_| {
        let mut listener = Listener::new(rtkeys());
        let mut player = Player::new();
        let _ = player.ask("open", SOON);
        assert!(listener.until(SOON, |heard| heard.tells(&found())));

        player.tell("burst 1000");
        let all = listener.until(SOON, |heard| heard.downs() >= 1000);
        let sent = player.strikes(SOON);
        assert!(all, "{} arrived", listener.heard.downs());
        let span = (sent[999].raw_us - sent[0].raw_us) as f64 / 1000.0;
        say(&format!("burst of 1,000 strikes within {span:.1} ms"));
        for (sent, struck) in sent.iter().zip(listener.heard.strikes()) {
            assert_eq!((sent.key, sent.velocity), (struck.key, struck.velocity));
        }
        listener.heard.is_in_order();
    });
}

#[test]
fn unplugging_and_plugging_in_is_noticed() {
    in_a_room("unplugging_and_plugging_in_is_noticed", |_| {
        let mut listener = Listener::new(rtkeys());
        let mut player = Player::new();
        let _ = player.ask("open", SOON);
        assert!(listener.until(SOON, |heard| heard.tells(&found())));
        let (mut gone, mut back) = (Vec::new(), Vec::new());
        let (mut after_gone, mut after_back) = (Vec::new(), Vec::new());

        for _ in 0..20 {
            player.tell("strike 60 100");
            assert!(listener.until(SOON, |heard| heard.downs() == 1));
            assert_eq!(player.strikes(SOON).len(), 1);

            listener.forget();
            player.tell("close");
            assert!(listener.until(SOON, |heard| heard.tells(&lost()) && heard.ups() == 1));
            assert!(!listener.keyboard.is_there());
            let seen = listener.heard.raw_us(&lost());
            let (from, to) = player.ask("", SOON);
            after_gone.push(between(to, seen).max(0.0));
            gone.push(between(from, seen));
            // The loss is told before the key comes up by it.
            assert_eq!(listener.heard.facts()[0], lost());
            assert_eq!(listener.heard.facts().len(), 2);

            listener.forget();
            player.tell("open");
            assert!(listener.until(SOON, |heard| heard.tells(&found())));
            assert!(listener.keyboard.is_there());
            let seen = listener.heard.raw_us(&found());
            let (from, to) = player.ask("", SOON);
            after_back.push(between(to, seen).max(0.0));
            back.push(between(from, seen));
            assert_eq!(listener.heard.facts(), [found()]);
        }

        let gone = figures("client begins to leave, to lost", gone);
        let _ = figures("client has left, to lost", after_gone);
        let back = figures("client begins to come, to found", back);
        let _ = figures("client has come, to found", after_back);
        // The aim is 100 ms; other programs may be busy on this machine.
        assert!(gone < 1000.0 && back < 1000.0);
    });
}

#[test]
fn a_dead_server_is_told_once_and_survived() {
    in_a_room("a_dead_server_is_told_once_and_survived", |server| {
        let mut listener = Listener::new(rtkeys());
        let mut player = Player::new();
        let _ = player.ask("open", SOON);
        assert!(listener.until(SOON, |heard| heard.tells(&found())));
        player.tell("strike 60 100");
        assert!(listener.until(SOON, |heard| heard.downs() == 1));

        // Some looks later nothing has happened, and the next one comes at any time.
        let looks = Duration::from_millis(1200);
        assert!(!listener.until(looks, |heard| heard.facts().len() > 2));
        listener.forget();
        let died = room::raw_us();
        server.stop();
        assert!(listener.until(SOON, |heard| heard.tells(&Fact::ServerGone)));
        let seen = listener.heard.raw_us(&Fact::ServerGone);
        say(&format!(
            "server told to end, to gone: {:.0} ms",
            between(died, seen)
        ));
        assert!(!listener.keyboard.is_there());
        assert_eq!(midi::inputs(), Err(midi::Error::NoService));
        // Some tries later it still has been told once.
        assert!(!listener.until(Duration::from_millis(1500), |heard| heard.facts().len() > 2));
        assert_eq!(listener.heard.facts()[0], Fact::ServerGone);
        assert_eq!(listener.heard.ups(), 1);

        // The player does not outlive its server.
        drop(player);
        listener.forget();
        server.start();
        let mut player = Player::new();
        let _ = player.ask("open", SOON);
        assert!(listener.until(SOON, |heard| heard.tells(&found())));
        assert_eq!(midi::inputs().expect("the server lives").len(), 1);
        player.tell("strike 62 90");
        assert!(listener.until(SOON, |heard| heard.downs() == 1));
        assert_eq!(listener.heard.facts()[..2], [Fact::ServerBack, found()]);
        listener.heard.is_in_order();
    });
}

#[test]
fn a_server_that_starts_anew_between_two_looks_is_survived() {
    in_a_room(
        "a_server_that_starts_anew_between_two_looks_is_survived",
        |server| {
            let mut listener = Listener::new(rtkeys());
            for _ in 0..3 {
                listener.forget();
                let mut player = Player::new();
                let _ = player.ask("open", SOON);
                assert!(listener.until(SOON, |heard| heard.tells(&found())));
                drop(player);

                server.stop();
                server.start();
                // Whoever else makes a client first, nothing that was freed is touched.
                assert!(midi::inputs().is_ok());
                assert!(listener.until(SOON, |heard| heard.tells(&Fact::ServerBack)
                    || heard.tells(&lost())));
            }
        },
    );
}

#[test]
fn two_instruments_play_as_one() {
    in_a_room("two_instruments_play_as_one", |_: &mut Server| {
        let mut listener = Listener::new(Preference {
            merge: true,
            transpose: -12,
            ..Preference::default()
        });
        let mut players = [Player::new(), Player::new()];
        for player in &mut players {
            let _ = player.ask("open", SOON);
        }
        assert!(listener.until(SOON, |heard| heard.facts().len() == 2));
        for player in &mut players {
            player.tell("strike 60 100");
        }
        assert!(listener.until(SOON, |heard| heard.downs() == 2));
        let [first, second] = &mut players;
        first.tell("release 60");
        assert_eq!(first.strikes(SOON).len(), 1);
        assert!(first.strikes(SOON).is_empty());
        second.tell("strike 72 100");
        assert!(listener.until(SOON, |heard| heard.downs() == 3));
        // The second still holds what the first has released.
        assert_eq!(listener.heard.ups(), 0);
        second.tell("release 60");
        assert!(listener.until(SOON, |heard| heard.ups() == 1));
        let touches = listener.heard.touches();
        assert!(matches!(touches[3], Touch::Up { key } if key.number() == 48));
        assert!(listener.heard.now() > Time::ZERO);
    });
}
