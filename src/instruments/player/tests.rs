//! Performances as keyboards.

use super::keyboard::Keyboard as _;
use super::*;

#[test]
fn a_performance_is_played_at_its_times_without_its_markers() {
    let kinds = [
        (0, performance::Kind::Item(1)),
        (
            100,
            performance::Kind::Down {
                key: 60,
                velocity: 80,
            },
        ),
        (150, performance::Kind::Pedal { value: 127 }),
        (150, performance::Kind::Answer("x".to_owned())),
        (200, performance::Kind::Up { key: 60 }),
    ];
    let performance = Performance {
        events: kinds
            .into_iter()
            .map(|(ms, kind)| performance::Event {
                at: Time::from_ms(ms),
                kind,
            })
            .collect(),
        ..Performance::default()
    };
    let mut player = Player::new("take one", &performance, Time::from_ms(1000));
    assert_eq!(player.next(), Some(Time::from_ms(1100)));
    assert_eq!(player.poll(Time::from_ms(1099)), []);

    let key = Key::MIDDLE_C;
    let event = |ms, touch| Event::new(Time::from_ms(ms), Fact::Touched(touch));
    assert_eq!(
        player.poll(Time::from_ms(1150)),
        [
            event(1100, Touch::Down { key, velocity: 80 }),
            event(1150, Touch::Pedal(127)),
        ]
    );
    assert_eq!(
        player.poll(Time::from_ms(9999)),
        [event(1200, Touch::Up { key })]
    );
    assert_eq!(player.next(), None);
    assert_eq!(player.kind(), Kind::Performance);
    assert_eq!(player.name(), "take one");
}
