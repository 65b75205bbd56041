//! What day and time it is where the user is.

use crate::app::shelf::When;
use crate::exchange::moment::Moment;
use crate::teach::progress::Day;
use wasm_bindgen::prelude::JsValue;

/// Now, by the device's own clock and place.
#[must_use]
#[allow(clippy::cast_possible_truncation)] // days, hours and years are small
pub fn now() -> Moment {
    let date = js_sys::Date::new_0();
    Moment {
        year: date.get_full_year() as u16,
        month: date.get_month() as u8 + 1,
        day: date.get_date() as u8,
        hour: date.get_hours() as u8,
        minute: date.get_minutes() as u8,
        second: date.get_seconds() as u8,
    }
}

/// This very moment.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // milliseconds since 1970
pub fn instant() -> When {
    When(js_sys::Date::now() as u64)
}

/// A moment as the user writes it: the time of day, with the date where it is another day.
#[must_use]
#[allow(clippy::cast_precision_loss)] // milliseconds since 1970
pub fn in_words(when: When) -> String {
    let date = js_sys::Date::new(&JsValue::from_f64(when.0 as f64));
    let time = format!("{:02}:{:02}", date.get_hours(), date.get_minutes());
    let today = js_sys::Date::new_0();
    if date.to_date_string() == today.to_date_string() {
        return format!("Today, {time}");
    }
    format!(
        "{}, {time}",
        String::from(date.to_locale_date_string("default", &JsValue::UNDEFINED))
    )
}

/// Today, where the user is.
#[must_use]
#[allow(clippy::cast_possible_truncation)] // some tens of thousands of days
pub fn today() -> Day {
    let date = js_sys::Date::new_0();
    let here = date.get_time() - date.get_timezone_offset() * 60_000.0;
    Day((here / 86_400_000.0).floor() as i32)
}
