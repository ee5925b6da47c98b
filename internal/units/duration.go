package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// maxDurationS is the longest duration read, a leap year in seconds: no cure,
// wait or shutdown is longer.
const maxDurationS = 366 * 24 * 3600

// ParseDuration reads a length of time:
//
//	4:30         4 minutes 30 seconds
//	1:02:30      1 hour 2 minutes 30 seconds
//	2:30 h       2 hours 30 minutes
//	90 s, 2.5 min, 8 h, 2 h 30 min
//	5            5 minutes: a bare number is minutes
//
// Seconds and minutes behind a colon are two digits below 60; the first figure
// may be larger ("90:00"). Negative times, times over a year and other units are
// refused with an [*Error].
func ParseDuration(s string) (time.Duration, error) {
	if strings.Contains(s, ":") {
		return parseClock(s)
	}
	sec, err := parseTerms(Time, s, Metric)
	if err != nil {
		return 0, err
	}
	return seconds(sec), nil
}

// parseClock reads the forms with colons.
func parseClock(s string) (time.Duration, error) {
	bad := func(reason string) (time.Duration, error) {
		return 0, refuse(Time, s, reason, "write m:ss like 4:30, h:mm:ss like 1:02:30, or 2:30 h for hours and minutes")
	}
	if len(s) > maxText {
		return bad("is too long")
	}
	text := normalise(s)
	hours := strings.HasSuffix(text, "h")
	if hours {
		text = strings.TrimSuffix(strings.TrimSuffix(text, "h"), " ")
	}
	parts := strings.Split(text, ":")
	if len(parts) > 3 || hours && len(parts) == 3 {
		return bad("has too many colons")
	}
	var n [3]int
	for i, p := range parts {
		if digits(p) != len(p) || p == "" || len(p) > 6 {
			return bad("is not a time")
		}
		n[i], _ = strconv.Atoi(p)
		if i > 0 && (len(p) != 2 || n[i] > 59) {
			return bad(fmt.Sprintf("has %q behind a colon, not two digits up to 59", p))
		}
	}
	total := n[0]*60 + n[1]
	switch {
	case len(parts) == 3:
		total = n[0]*3600 + n[1]*60 + n[2]
	case hours:
		total *= 60
	}
	if err := Check(Time, float64(total), Metric); err != nil {
		return bad("is longer than a year")
	}
	return time.Duration(total) * time.Second, nil
}

// Clock prints a length of time as m:ss, or h:mm:ss from an hour on: "4:30",
// "1:02:30", "-0:45". It rounds to the nearest second, a half second away from
// zero, as figures on paper are rounded. Time that is running out is better
// printed with [ClockLeft].
func Clock(d time.Duration) string {
	return clock(int64(d.Round(time.Second) / time.Second))
}

// ClockLeft prints as [Clock] does but rounds down, so that the time shown as
// left is never more than there is: 44.9 s left is "0:44", 0.1 s overdue "-0:01".
func ClockLeft(d time.Duration) string {
	return clock(int64(math.Floor(d.Seconds())))
}

// Hours prints a long time in hours and minutes, rounded to the nearest minute:
// "25 h 20 min", "8 h", "40 min", "-1 h 5 min".
func Hours(d time.Duration) string {
	m := int64(d.Round(time.Minute) / time.Minute)
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	h, m := m/60, m%60
	switch {
	case h == 0:
		return fmt.Sprintf("%s%d min", sign, m)
	case m == 0:
		return fmt.Sprintf("%s%d h", sign, h)
	}
	return fmt.Sprintf("%s%d h %d min", sign, h, m)
}

func clock(sec int64) string {
	sign := ""
	if sec < 0 {
		sign, sec = "-", -sec
	}
	if sec < 3600 {
		return fmt.Sprintf("%s%d:%02d", sign, sec/60, sec%60)
	}
	return fmt.Sprintf("%s%d:%02d:%02d", sign, sec/3600, sec/60%60, sec%60)
}

// seconds makes a Duration of s seconds, held inside what a Duration can carry.
func seconds(s float64) time.Duration {
	const most = float64(math.MaxInt64) / 2
	return time.Duration(math.Round(math.Max(-most, math.Min(most, s*float64(time.Second)))))
}
