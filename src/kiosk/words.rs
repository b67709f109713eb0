//! All that the pages say, in one place, a table a language.
//!
//! What an exam asks is the exam's own text and comes with its items. `{}` stands for a figure or
//! a name, in the order they are filled in.
//!
//! Long because it is one list of every text.

mod de;
mod en;
pub mod number;

pub use de::GERMAN;
pub use en::ENGLISH;

macro_rules! words {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => {
        /// The words of one language.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub struct Words {
            $($(#[$doc])* pub $name: &'static str,)*
        }

        impl Words {
            /// Returns every text with its name, for tests.
            pub fn all(&self) -> Vec<(&'static str, &'static str)> {
                vec![$((stringify!($name), self.$name),)*]
            }
        }
    };
}

words! {
    /// The language's own name.
    language,
    /// On the cover, above the exam's name.
    practice_examination,
    /// In the corner of the cover: how the invigilator comes in, and out.
    cover_hint,
    /// What to do on the cover, with a keyboard.
    play_middle_c,
    /// What to do on the cover, without.
    press_enter,
    /// Over the exams to choose from.
    choose_exam,
    /// The imperative beside it.
    choose,
    /// What comes next, in the margin of the foot.
    next,
    /// The candidate's number comes next.
    next_number,
    /// The check of keyboard and sound comes next.
    next_check,
    /// The plan comes next.
    next_plan,
    /// The first section comes next.
    next_section,
    /// The next item comes by itself.
    next_by_itself,
    /// The next item comes by itself or when handed in.
    next_handed_in,
    /// The mark sheet comes next.
    next_end,
    /// The page closes by itself.
    next_closes,
    /// The imperative of the sign-in.
    sign_in,
    /// Its title.
    your_number,
    /// Its sentence.
    type_number,
    /// Where the number is not on the list.
    not_on_list,
    /// Beside a candidate who has handed in.
    handed_in,
    /// In the header.
    candidate,
    /// What is done, in the check.
    done,
    /// The imperative of a listening step.
    set_level,
    /// Its title.
    comfortable_title,
    /// The level in figures.
    level_of_ten,
    /// A button.
    softer,
    /// A button.
    louder,
    /// A button.
    comfortable,
    /// A caution for ears.
    caution_ears,
    /// The imperative of the keyboard step.
    play,
    /// Its title.
    middle_c_title,
    /// Its sentence.
    middle_c_text,
    /// The title of the step before.
    lowest_title,
    /// Its sentence.
    lowest_text,
    /// The keyboard is there.
    keyboard_connected,
    /// The computer's own keys stand in.
    computer_keys,
    /// How they lie.
    computer_keys_text,
    /// A button that goes on with them.
    use_computer_keys,
    /// The imperative of the tapping step.
    tap,
    /// Its title.
    tap_title,
    /// Its sentence.
    tap_text,
    /// Where too few beats were tapped.
    tap_again,
    /// A button that leaves the step out.
    skip,
    /// The level was set.
    level_set,
    /// The imperative of the plan.
    read,
    /// Its title.
    plan_title,
    /// Before a section's letter.
    section,
    /// Items in a section.
    items,
    /// Minutes of a section.
    minutes,
    /// Marks of a section.
    marks,
    /// The pass mark, with the hurdles.
    pass_mark,
    /// The margin of the rules.
    remember,
    /// A rule.
    rule_wrong,
    /// A rule.
    rule_hidden,
    /// A rule.
    rule_time,
    /// A rule.
    rule_clock,
    /// A rule: hands.
    rule_pain,
    /// A button.
    begin,
    /// A button.
    go_on,
    /// The header of unmarked items.
    not_marked,
    /// The header of an item.
    of,
    /// What is left, with seconds.
    seconds_left,
    /// One second.
    second_left,
    /// After the limit, while the item may still be finished.
    late,
    /// The margin of the strip.
    in_your_hands,
    /// Under middle C.
    middle_c,
    /// The strip of a keyboard that is not heard.
    no_keys_heard,
    /// The attempts of an item.
    attempts_two,
    /// One attempt only.
    attempts_one,
    /// The imperative while a run is looked at.
    look,
    /// The imperative during the count-in.
    count_in,
    /// The imperative of a run.
    play_on,
    /// The sentence of a run in tempo.
    run_text,
    /// The sentence of a run in one's own time.
    run_free_text,
    /// Under the bar that is played.
    now,
    /// The imperative of an ear item.
    listen,
    /// The sentence of an ear item.
    ear_text,
    /// While it sounds.
    sounds_now,
    /// Hearings heard, and left.
    hearings_left,
    /// None left.
    no_hearing_left,
    /// A button.
    hear_again,
    /// The key beside it.
    or_space,
    /// Beside the chosen row.
    your_answer,
    /// A button.
    hand_in,
    /// The name of the key.
    enter,
    /// The name of the key.
    space,
    /// The imperative of a spelling item.
    write,
    /// The margin of the letters.
    type_or_touch,
    /// A button.
    rub_out,
    /// Over the staff of a spelling.
    as_written,
    /// Degrees of a spelling.
    root,
    /// A degree.
    third,
    /// A degree.
    fifth,
    /// A degree.
    seventh,
    /// A degree by its number.
    tone,
    /// The imperative of a rest.
    rest,
    /// Its title.
    rest_title,
    /// Its sentence.
    rest_text,
    /// The imperative of a fault with the keyboard.
    check_cable,
    /// Its title.
    no_keyboard,
    /// Its sentences.
    no_keyboard_text,
    /// The title of a fault with the sound.
    no_sound,
    /// Its sentences.
    no_sound_text,
    /// A last sentence.
    raise_hand,
    /// The title of a pause by the invigilator.
    paused_title,
    /// Its sentences.
    paused_text,
    /// What comes after a fault.
    next_replaced,
    /// The title where nothing can be kept.
    not_kept,
    /// Its sentences.
    not_kept_text,
    /// The margin of the last page.
    your_grade,
    /// Its title where marks are not shown.
    thank_you,
    /// Its sentence.
    leave,
    /// The marks, in whole numbers.
    marks_of,
    /// The pass mark of the last page.
    pass_mark_is,
    /// A stopped sitting.
    stopped_title,
    /// A void sitting.
    void_title,
    /// Its sentence.
    void_text,
    /// A button.
    close,
    /// The margin of what is to be practised.
    to_practise,
    /// A button: a practice paper drawn from the result.
    practise_this,
    /// A hurdle passed or not.
    hurdle,
    /// The imperative of the page that asks why to stop.
    stop,
    /// Its title.
    stop_title,
    /// Its sentence.
    stop_text,
    /// A reason.
    stop_pain,
    /// A reason.
    stop_distress,
    /// A reason.
    stop_other,
    /// A button that goes back.
    back,
    /// The hint at the foot of items.
    stop_hint,
    // The invigilator's pages.
    /// The title after the computer was suspended.
    suspended_title,
    /// Its sentences.
    suspended_text,
    /// In the header of the invigilator's pages.
    inv_invigilator,
    /// The imperative of the PIN.
    inv_type,
    /// The title of the PIN.
    inv_pin_title,
    /// Its sentence between sittings.
    inv_pin_text,
    /// Its sentence during a sitting.
    inv_pin_sitting,
    /// A PIN that does not fit.
    inv_wrong,
    /// Until the next try.
    inv_wait,
    /// What comes after the PIN, during a sitting.
    inv_next_stops,
    /// What comes after the PIN.
    inv_next_desk,
    /// The title of a new PIN.
    inv_new_title,
    /// Its sentence.
    inv_new_text,
    /// Where it is too short.
    inv_too_short,
    /// Where the two differ.
    inv_differ,
    /// The title of the second time.
    inv_again_title,
    /// Its sentence.
    inv_again_text,
    /// What comes after a new PIN.
    inv_next_kept,
    /// The title after it.
    inv_kept_title,
    /// Where it is in the settings file.
    inv_kept_text,
    /// Where it is not.
    inv_fleeting_text,
    /// F12 in a sitting without a PIN.
    inv_no_pin_title,
    /// Its sentence.
    inv_no_pin_text,
    /// What can be done between sittings.
    inv_desk_title,
    /// Its sentence.
    inv_desk_text,
    /// Where a sitting is.
    inv_where,
    /// How long it lasts.
    inv_left,
    /// A row.
    inv_go_on,
    /// A row.
    inv_go_on_text,
    /// What comes next.
    inv_next_count,
    /// While it counts.
    inv_count_title,
    /// Its sentence.
    inv_count_text,
    /// A row.
    inv_add,
    /// A row.
    inv_add_text,
    /// A row.
    inv_void,
    /// A row.
    inv_void_text,
    /// A row.
    inv_void_done,
    /// A row.
    inv_void_none,
    /// A row.
    inv_note,
    /// A row.
    inv_note_text,
    /// A row.
    inv_stop,
    /// A row.
    inv_stop_text,
    /// A row.
    inv_leave,
    /// A row.
    inv_leave_text,
    /// A row.
    inv_leave_after,
    /// A row.
    inv_park,
    /// A row.
    inv_park_text,
    /// A row.
    inv_close,
    /// A row.
    inv_close_text,
    /// A row.
    inv_waiting,
    /// A row.
    inv_waiting_text,
    /// Their sentence.
    inv_waiting_note,
    /// A row.
    inv_panel,
    /// A row.
    inv_panel_text,
    /// A row.
    inv_allow,
    /// A row.
    inv_allow_text,
    /// Its sentence.
    inv_allow_note,
    /// A row.
    inv_factor,
    /// A row.
    inv_hearings,
    /// A row.
    inv_press_again,
    /// A row.
    inv_as_usual,
    /// A button.
    inv_back,
    /// A kind of incident.
    inv_late,
    /// A kind of incident.
    inv_noise,
    /// A kind of incident.
    inv_equipment,
    /// A kind of incident.
    inv_illness,
    /// A kind of incident.
    inv_help,
    /// The title of a note.
    inv_what_title,
    /// Its sentence.
    inv_what_text,
    /// The title of a reason.
    inv_why_title,
    /// A reason.
    inv_stop_ill,
    /// A reason.
    inv_stop_ill_text,
    /// A reason.
    inv_stop_other,
    /// A reason.
    inv_stop_other_text,
    /// How a panel marks.
    inv_share_text,
    /// Who marks.
    inv_by_title,
    /// Its sentence.
    inv_by_text,
    /// Something could not be done.
    inv_trouble_title,
    /// A new result.
    inv_stored_title,
    /// Where.
    inv_stored_text,
    /// A row.
    inv_take_up,
    /// A row.
    inv_take_up_text,
    /// A row.
    inv_hand_in,
    /// A row.
    inv_hand_in_text,
    /// A row.
    inv_leave_it,
    /// A row.
    inv_leave_it_text,
    /// The margin of the log.
    inv_log,
    /// Who says so.
    inv_program,
    /// The first line of the log.
    inv_signed_in,
    /// On the cover.
    inv_interrupted,
    /// At the sign-in.
    inv_handed_in,
    /// At the sign-in.
    inv_interrupted_again,
    /// At the sign-in.
    inv_sits_elsewhere,
    /// On the last page.
    inv_elsewhere,
    // A second look at the items of a sitting.
    /// A row.
    rev_items,
    /// A row.
    rev_items_text,
    /// A row.
    rev_results,
    /// A row.
    rev_results_text,
    /// Their sentence.
    rev_results_note,
    /// Where there are none.
    rev_no_results,
    /// The title of the list.
    rev_title,
    /// Its sentence.
    rev_note,
    /// A row.
    rev_later,
    /// A row.
    rev_earlier,
    /// From a row to a row, of how many.
    rev_span,
    /// The header: the section and the item’s number.
    rev_item,
    /// A level.
    rev_level,
    /// No level yet.
    rev_awaited,
    /// No level any more.
    rev_voided,
    /// The margin of the level.
    rev_counts,
    /// The level, and the credit in words.
    rev_counts_text,
    /// The margin of the time.
    rev_time,
    /// The margin of what else was seen.
    rev_seen,
    /// What else was seen.
    rev_seen_text,
    /// Found by way of a neighbour.
    rev_walked,
    /// How often it sounded.
    rev_heard,
    /// Over what was answered.
    rev_said,
    /// A button.
    rev_hear_played,
    /// A button.
    rev_hear_sounded,
    /// A button.
    rev_hear_asked,
    /// A button.
    rev_hear_answer,
    /// A button.
    rev_change,
    /// A button.
    rev_next,
    /// A button.
    rev_list,
    /// Where nothing can be heard.
    rev_no_sound,
    /// Stands for what was played where marks were entered by hand.
    rev_unrecorded,
    /// Said of an item whose mark was entered by hand.
    rev_by_hand,
    /// Stands for an answer of which only the mark was entered.
    rev_untold,
    /// The title of the levels.
    rev_level_title,
    /// Their sentence.
    rev_level_note,
    /// Beside the level that counts.
    rev_has,
    /// The title of the reasons.
    rev_reason_title,
    /// Their sentence.
    rev_reason_note,
    /// A reason.
    rev_key,
    /// A reason.
    rev_fault,
    /// A reason.
    rev_noise,
    /// A reason.
    rev_name,
    /// A reason.
    rev_own,
    /// The sentence of a reason in own words.
    rev_because_text,
    /// The title of who says so.
    rev_by_title,
    /// Its sentence.
    rev_by_text,
    /// The title before it is set.
    rev_sure_title,
    /// The reason, and who.
    rev_sure_text,
    /// A row.
    rev_set,
    /// A row.
    rev_set_text,
    /// The title after it.
    rev_stored_title,
    /// Its sentence.
    rev_stored_text,
    // The mark sheet on paper.
    /// A button, and a row: the mark sheet on paper.
    prn_print,
    /// A row.
    prn_row,
    /// What the row does.
    prn_row_text,
    /// The title of what becomes of it.
    prn_title,
    /// While it is on its way.
    prn_going,
    /// It is printed: the printer and the job.
    prn_done,
    /// The printer prints it: the printer and the job.
    prn_prints,
    /// Others come first: the printer and the job.
    prn_waits,
    /// The printer stands still: the job and the printer.
    prn_paused,
    /// The printer stands still: the job, the printer, and what it says.
    prn_paused_why,
    /// The printer does not say: the printer and the job.
    prn_unknown,
    /// The computer prints nothing.
    prn_no_printing,
    /// No printer is the usual one.
    prn_no_usual,
    /// No printer has this name.
    prn_no_such,
    /// The printing service does not answer.
    prn_silent,
    /// It did not answer in time.
    prn_slow,
    /// What the system says.
    prn_says,
    /// Where the sheet is.
    prn_file,
    /// There is no sheet.
    prn_none,
    // The pages of items, and of what was done in practice.
    /// In practice, before the section in the header.
    practice,
    /// The header of an item of practice that is tried again.
    once_more,
    /// The imperative of what is looked at.
    compare,
    /// Over what was asked.
    asked,
    /// Over what was played.
    played,
    /// Over what was written.
    written,
    /// Over what was heard.
    heard_as,
    /// Over what was answered.
    you_said,
    /// The title where all was right.
    all_right,
    /// The title where something was not.
    another_way,
    /// Where nothing was answered or played.
    no_answer,
    /// The margin of what an exam would give.
    in_the_exam,
    /// A credit.
    whole_mark,
    /// A credit.
    half_mark,
    /// A credit.
    quarter_mark,
    /// A credit.
    three_quarters_mark,
    /// A credit.
    no_mark,
    /// A credit in hundredths of the mark.
    part_mark,
    /// The margin of the time used.
    your_time,
    /// The time used, and the limit.
    time_used,
    /// Where it was tried again.
    rehearsed,
    /// A button.
    hear_asked,
    /// A button.
    hear_played,
    /// A button.
    hear_yours,
    /// A button.
    try_again,
    /// The key that gives more time in practice.
    more_time,
    /// The attempts, where there is little room.
    attempts_short,
    /// One attempt, where there is little room.
    attempt_short,
    /// One hearing is left.
    one_hearing_left,
    /// Heard so often.
    once,
    /// Heard so often.
    twice,
    /// Heard so often.
    times,
    /// The part of a question.
    part,
    /// The sentence of an ear item of two parts.
    parts_text,
    /// The sentence of what is played back.
    back_text,
    /// How many steps have been taken, and of how many.
    back_taken,
    /// How to begin again.
    back_again,
    /// The sentence of a dictation.
    dictation_text,
    /// The place of an answer in a dictation: the chord's number, and bass or quality.
    chord_part,
    /// A row of a dictation.
    bass,
    /// A row of a dictation.
    quality,
    /// A bar of the count-in.
    bar_of,
    /// The time at which the clock was stopped.
    held_at,
    /// The imperative of a fault with the sound.
    check_sound,
    /// The imperative of a pause.
    wait,
    /// What comes after a pause between items.
    next_same,
    /// What comes after a run that was stopped.
    next_run_again,
    /// What comes next when handed in.
    next_number_of,
    /// The last of a section.
    next_last,
    /// A degree.
    second,
    /// A degree.
    fourth,
    /// A degree.
    sixth,
    /// A degree.
    ninth,
    /// A degree.
    eleventh,
    /// A degree.
    thirteenth,
    /// Numbers in words, from one on, parted by blanks.
    counts,
    /// How long a chord of a run may take.
    seconds_a_chord,
    /// How a run is counted in.
    one_bar_in,
    /// How a run is counted in, in bars.
    bars_in,
    /// What comes next in practice.
    next_compare,
    // The way there and the way out: cover to plan, rest to end.
    /// In the header of the check.
    check_header,
    /// Tapping comes next.
    next_tap,
    /// The level comes next.
    next_level,
    /// The lowest key, and how many keys such keyboards have.
    lowest_is,
    /// The lowest key, of no usual keyboard.
    lowest_is_other,
    /// Where the lowest key is too high for the exam.
    few_keys,
    /// The keyboard is shifted up by octaves.
    shifted_up,
    /// The keyboard is shifted down by octaves.
    shifted_down,
    /// Octaves, one or more.
    octaves,
    /// Another key than middle C.
    another_key,
    /// The keys of the left hand.
    left_hand,
    /// The keys of the right hand.
    right_hand,
    /// Under the lowest key.
    lowest_key,
    /// How the chord sounds.
    sides_text,
    /// It sounds on the left.
    side_left,
    /// It sounds on the right.
    side_right,
    /// It sounds on both sides.
    side_both,
    /// A button: left and right once more.
    sides_again,
    /// The title where there is no sound output.
    no_output,
    /// Its sentences.
    no_output_text,
    /// A button for the invigilator.
    without_sound,
    /// A button for the invigilator.
    without_keyboard,
    /// How late the candidate taps, in ms.
    tap_late,
    /// How early the candidate taps, in ms.
    tap_early,
    /// The candidate taps with the beats.
    tap_together,
    /// The title of the result.
    tap_found,
    /// Its sentence.
    tap_found_text,
    /// A button.
    tap_once_more,
    /// Over the beats that count in.
    counts_in,
    /// The sentence of the sign-in, with the figures of a number.
    type_figures,
    /// The sentence of the sign-in without a list.
    type_any,
    /// Beside a number of the list.
    press_or_type,
    /// The number has handed in already.
    has_handed_in,
    /// A button: the page before.
    earlier,
    /// A button: the next page.
    later,
    /// What to remember comes next.
    next_rules,
    /// Sections of an exam.
    sections_count,
    /// How long an exam lasts.
    minutes_about,
    /// Marks of an exam.
    marks_count,
    /// Marks in figures.
    marks_figures,
    /// Items in figures.
    items_figures,
    /// The unmarked items come next.
    next_unmarked,
    /// Chords of a section.
    chords_figures,
    /// Seconds for each.
    seconds_each,
    /// Hearings of each.
    hearings_each,
    /// A run of so many chords.
    lines_one,
    /// Two runs of so many chords.
    lines_two,
    /// So many runs of so many chords.
    lines_more,
    /// Runs of different lengths.
    lines_mixed,
    /// Runs without a tempo.
    in_own_time,
    /// Runs in tempo, before the note.
    at_tempo,
    /// Runs with and without a tempo, before the note.
    free_and_at,
    /// Minutes, from and to.
    span,
    /// The pass mark without hurdles.
    pass_plain,
    /// The pass mark with hurdles.
    pass_with,
    /// A hurdle.
    hurdle_in,
    /// Between the last two of a list.
    and,
    /// A rule.
    attempts_at_most,
    /// A rule: ears.
    rule_ears,
    /// A rule: marks given by a person.
    rule_panel,
    /// A hurdle that was passed.
    hurdle_passed,
    /// A hurdle that was not passed.
    hurdle_missed,
    /// Under a voicing over a sounded bass.
    bass_root,
    /// Under a run over a sounded bass.
    bass_roots,
    /// A standard for each quality.
    each_quality,
    /// The same, where they do not all sound as often.
    each_quality_least,
    /// A standard for each answer.
    each_answer,
    /// The same, where they do not all sound as often.
    each_answer_least,
    /// That a section needs a standard.
    each_needed,
    /// A standard that was reached.
    each_reached,
    /// A standard that was not reached, and for which answers.
    each_missed,
    /// Between right answers and sounds.
    each_of,
    /// Not passed by a part alone.
    not_by_part,
    /// A person’s marks are awaited.
    awaited,
    /// What a section brings.
    of_marks,
    /// The standard error.
    true_mark,
    /// The standard error, of which a lower bound is known.
    true_mark_at_most,
    /// The standard error comes out 0.
    error_half_item,
    /// The standard error is not known.
    error_unknown,
    /// Close to the pass mark.
    near_pass,
    /// Few items.
    only_feedback,
    /// Marks are awaited.
    not_final,
    /// Chords to practise.
    practise_cold,
    /// What to tell apart.
    practise_ear,
    /// A section to practise.
    practise_section,
    /// A sitting that was stopped.
    stopped_text,
    /// The title where there are no grades.
    no_band,
    /// What comes next, on the page that asks why to stop.
    stop_meanwhile,
    /// Beside pain and distress.
    stop_void,
    /// Beside handing in.
    stop_marked,
    /// What comes after a rest.
    rest_goes_on,
    /// A button for the invigilator where the keyboard is too small.
    all_the_same,
}

/// Fills the figures and names of a text in.
pub fn fill(text: &str, with: &[&str]) -> String {
    let mut filled = String::with_capacity(text.len());
    let mut with = with.iter();
    let mut parts = text.split("{}");

    filled.push_str(parts.next().unwrap_or_default());
    for part in parts {
        filled.push_str(with.next().unwrap_or(&""));
        filled.push_str(part);
    }

    filled
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_language_says_everything_with_the_same_figures() {
        for ((name, english), (_, german)) in ENGLISH.all().into_iter().zip(GERMAN.all()) {
            assert!(!english.is_empty() && !german.is_empty(), "{name}");
            assert_eq!(
                english.matches("{}").count(),
                german.matches("{}").count(),
                "{name}"
            );
        }
    }

    #[test]
    fn no_text_blames() {
        for (name, text) in ENGLISH.all() {
            // A void sitting is said not to be failed; a standard error is a figure's name.
            let text = text.to_lowercase().replace("not failed", "");
            let text = text.replace("standard error", "");
            for word in ["error", "invalid", "failed", "wrong number"] {
                assert!(!text.contains(word), "{name}: {text}");
            }
        }
    }

    #[test]
    fn figures_are_filled_in_their_order() {
        assert_eq!(fill("{} of {}", &["7", "24"]), "7 of 24");
        assert_eq!(fill("none", &[]), "none");
    }
}
