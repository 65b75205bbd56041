//! What day and time it is where the user is.

use crate::exchange::moment::Moment;

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
