//! Bad numbers get a worded fault: never NaN, never a panic.

use plimsoll_measure::change::{
    Comparison, log_change, repeats_needed, shrink, smallest_worthwhile, true_score, whole_steps,
};
use plimsoll_measure::error::{
    agreement, change_in_mean, error_from_icc, icc_interval, log_error, mean_squares, pooled_error,
    repeatability, typical_error, typical_error_of_trials,
};
use plimsoll_measure::norms::{CentileTable, Lms, Place, sd_from_sem, standing};
use plimsoll_measure::{MeasureError, dist, fit};

fn message<T: std::fmt::Debug>(result: Result<T, MeasureError>) -> String {
    result.expect_err("a fault").to_string()
}

#[test]
fn whole_messages() {
    assert_eq!(
        message(typical_error(&[1.0], &[2.0])),
        "test-retest pairs: found 1, at least 2 needed; add more before asking again"
    );
    assert_eq!(
        message(typical_error(&[1.0, 2.0], &[2.0])),
        "test-retest pairs: the lists have 2 and 1 values, they must have the same number; leave \
         out whoever has only one of the two"
    );
    assert_eq!(
        message(typical_error(&[1.0, 2.0], &[2.0, 3.0])),
        "the differences between the two trials do not differ at all, so no error or spread can \
         be worked out; check that one trial was not copied from the other"
    );
    assert_eq!(
        message(Comparison::new(-1.0, None, 1, 1)),
        "typical error is -1; allowed is any number above 0; correct the value"
    );
    assert_eq!(
        message(standing(f64::NAN, 1.0, 1.0)),
        "value is NaN, which is not a finite number; correct the value or leave the row out"
    );
    assert_eq!(
        message(CentileTable::new(&[(5.0, 10.0), (50.0, 10.0)])),
        "values of the table: value 2 of the list (10) is not above the one before it (10); sort \
         the list and remove doubles"
    );
    assert_eq!(
        message(smallest_worthwhile(10.0, 12.0, 0.2)),
        "the smallest worthwhile change has no value here: the typical error (12) is not smaller \
         than the between-person SD (10), so the spread may be error alone; give the change you \
         care about yourself"
    );
    assert_eq!(
        message(agreement(&[1e308, -1e308], &[-1e308, 1e308])),
        "the difference of two values cannot be worked out: the numbers are too large or too \
         small; check the unit"
    );
}

const BAD: [f64; 3] = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY];

#[test]
fn no_entry_takes_what_is_not_a_number() {
    for bad in BAD {
        let pair = Comparison::new(2.0, None, 1, 1).expect("a comparison");
        assert!(Comparison::new(bad, None, 1, 1).is_err());
        assert!(Comparison::new(1.0, Some(bad), 1, 1).is_err());
        assert!(pair.chance(bad, 1.0).is_err() && pair.chance(1.0, bad).is_err());
        assert!(pair.interval(bad, 0.9).is_err() && pair.interval(1.0, bad).is_err());
        assert!(pair.detectable(bad).is_err() && pair.in_errors(bad).is_err());
        assert!(log_change(bad, 1.0, 5.0, None, (1, 1)).is_err());
        assert!(log_change(1.0, bad, 5.0, None, (1, 1)).is_err());
        assert!(log_change(1.0, 1.0, bad, None, (1, 1)).is_err());
        assert!(shrink(&pair, bad, 0.0, 1.0).is_err() && shrink(&pair, 0.0, bad, 1.0).is_err());
        assert!(shrink(&pair, 0.0, 0.0, bad).is_err());
        assert!(true_score(bad, 1.0, 1.0, 0.5).is_err() && true_score(1.0, 1.0, 1.0, bad).is_err());
        assert!(repeats_needed(bad, 1.0, 0.9).is_err() && repeats_needed(1.0, bad, 0.9).is_err());
        assert!(whole_steps(bad, 1.0).is_err() && whole_steps(1.0, bad).is_err());
        assert!(smallest_worthwhile(bad, 1.0, 0.2).is_err());
        assert!(typical_error(&[1.0, bad], &[1.0, 2.0]).is_err());
        assert!(typical_error_of_trials(&[vec![1.0, bad], vec![1.0, 2.0]]).is_err());
        assert!(log_error(&[1.0, bad], &[1.0, 2.0]).is_err());
        assert!(change_in_mean(&[1.0, bad], &[1.0, 2.0], 0.9).is_err());
        assert!(repeatability(&[1.0, bad], &[1.0, 2.0]).is_err());
        assert!(error_from_icc(bad, 0.5).is_err() && error_from_icc(1.0, bad).is_err());
        assert!(standing(1.0, bad, 1.0).is_err() && standing(1.0, 1.0, bad).is_err());
        assert!(Lms::new(bad, 1.0, 1.0).is_err() && Lms::new(1.0, bad, 1.0).is_err());
        let lms = Lms::new(1.0, 1.0, 0.1).expect("an LMS");
        assert!(lms.standing(bad).is_err() && lms.value_at(bad).is_err());
        assert!(lms.value_at_centile(bad).is_err());
        let table = CentileTable::new(&[(5.0, 1.0), (95.0, 2.0)]).expect("a table");
        assert!(table.place(bad).is_err() && CentileTable::new(&[(bad, 1.0)]).is_err());
        assert!(dist::student_cdf(bad, None).is_err() && dist::normal_quantile(bad).is_err());
        assert!(dist::f_quantile(0.5, bad, 1.0).is_err());
        assert!(dist::chi_square_quantile(0.5, bad).is_err());
        assert!(sd_from_sem(bad, 10).is_err() && fit::line(&[1.0, bad], &[1.0, 2.0]).is_err());
    }
}

#[test]
fn edges_have_faults_not_numbers() {
    assert!(Comparison::new(0.0, None, 1, 1).is_err());
    assert!(Comparison::new(1.0, Some(0.5), 1, 1).is_err());
    assert!(Comparison::new(1.0, None, 0, 1).is_err());
    let pair = Comparison::new(1.0, None, 1, 1).expect("a comparison");
    assert!(pair.chance(1.0, -0.1).is_err());
    for level in [0.0, 1.0, 90.0, -0.5] {
        assert!(pair.interval(1.0, level).is_err());
    }
    assert!(log_change(0.0, 100.0, 5.0, None, (1, 1)).is_err());
    assert!(typical_error(&[], &[]).is_err());
    assert!(mean_squares(&[vec![1.0], vec![2.0]]).is_err());
    assert!(mean_squares(&[vec![1.0, 2.0], vec![2.0]]).is_err());
    assert!(mean_squares(&[]).is_err());
    let copied = mean_squares(&[vec![1.0, 1.0], vec![2.0, 2.0]]).expect("mean squares");
    assert!(icc_interval(&copied, 0.95).is_err());
    assert!(pooled_error(&[]).is_err());
    assert!(error_from_icc(1.0, 1.1).is_err());
    assert!(sd_from_sem(1.0, 1).is_err());
    assert!(standing(1.0, 1.0, 0.0).is_err());
    assert!(Lms::new(1.0, 1.0, 0.0).is_err());
    assert!(CentileTable::new(&[]).is_err());
    assert!(CentileTable::new(&[(0.0, 1.0)]).is_err());
    assert!(CentileTable::new(&[(50.0, 1.0), (50.0, 2.0)]).is_err());
    assert!(fit::line(&[1.0, 1.0], &[1.0, 2.0]).is_err());
    assert!(fit::line(&[1.0], &[1.0]).is_err());
    assert!(repeats_needed(1.0, 1e-9, 0.95).is_err());
}

#[test]
fn outside_a_table_is_a_typed_answer() {
    let table = CentileTable::new(&[(5.0, 20.0), (50.0, 40.0), (95.0, 60.0)]).expect("a table");
    assert_eq!(table.place(19.9).expect("a place"), Place::Below(5.0));
    assert_eq!(table.place(19.9).expect("a place").to_string(), "below P5");
    assert_eq!(table.place(60.1).expect("a place").to_string(), "above P95");
    assert_eq!(table.place(60.0).expect("a place").to_string(), "P95");
    let Place::Within(at) = table.place(30.0).expect("a place") else {
        panic!("inside")
    };
    // Half way between P5 and P50 in z: -1.644854 / 2.
    assert!((at.z + 0.822_426_813_5).abs() < 1e-9, "{}", at.z);
    let one = CentileTable::new(&[(50.0, 48.0)]).expect("a table");
    assert_eq!(one.place(50.0).expect("a place").to_string(), "above P50");
}

#[test]
fn whole_steps_round_up_and_never_to_nothing() {
    for (change, step, steps) in [
        (41.0, 40.0, 2.0),
        (40.0, 40.0, 1.0),
        (80.0 + 1e-12, 40.0, 2.0),
        (0.0, 0.5, 1.0),
    ] {
        let got = whole_steps(change, step).expect("steps");
        assert_eq!((got.steps, got.size), (steps, steps * step));
    }
}
