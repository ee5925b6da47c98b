package record

import (
	"time"

	"floorpace/internal/day"
	"floorpace/internal/units"
)

// Form and Version name the data document.
const (
	Form    = "floorpace record"
	Version = 1
)

// Log is what is known of the log files of the day, as against of their events.
type Log struct {
	Day   string    `json:"day"` // 2006-01-02
	Files []LogFile `json:"files"`
	// Words is what the check of the files said, in plain sentences.
	Words   []string `json:"words"`
	Missing int      `json:"missing"` // events known to be lost
	Forks   int      `json:"forks"`   // events with two versions
	// Repaired counts events that one file lost and another has.
	Repaired int `json:"repaired"`
	// NotFound are the logs, by the first 8 hex of their writer, that a file goes
	// on from and that were not among the files.
	NotFound []string `json:"not_found"`
	// Left are files beside the day's with lines that no file here can place.
	Left []string `json:"left_out"`
	// Backward lists where the wall clock of a file ran back from one line to
	// the next.
	Backward []Backward `json:"wall_clock_back"`
	// Unordered lists lines whose running clock lies before that of the line
	// ahead of them in one run of the program: no clock does that.
	Unordered []Backward `json:"running_clock_back"`
	// Apart lists lines before which the wall clock and the running clock went on
	// by different times, without a step of a clock on record.
	Apart []Backward `json:"clocks_apart"`
}

// LogFile is one file of the log.
type LogFile struct {
	Name    string `json:"name"`
	Found   string `json:"found"` // where it was found
	Station Text   `json:"station"`
	Writer  Text   `json:"writer"`
	App     Text   `json:"program"`
	Verdict string `json:"verdict"`
	Sound   bool   `json:"sound"` // nothing is wrong with it, nothing was cut
	Events  int    `json:"events"`
	// Seal is the first 12 hex of the SHA-256 over all before the seal.
	Seal     Text `json:"seal"`
	Unsealed int  `json:"events_behind_seal"`
	// SHA256 is over the whole file as it was read, 64 hex.
	SHA256 string   `json:"sha256"`
	Words  []string `json:"words"` // what its check said
}

// Backward is a step back of a clock between two lines of a file.
type Backward struct {
	File    string    `json:"file"`
	Line    int64     `json:"line"`
	At      time.Time `json:"at"`
	Seconds float64   `json:"seconds"`
}

// Paper is the record of one day: every figure of the papers, in SI.
type Paper struct {
	Form    string    `json:"form"`
	Version int       `json:"version"`
	Title   Text      `json:"title"`
	Site    Text      `json:"site"`
	Units   string    `json:"crew_units"` // metric or us: what the printed papers use
	Sheet   Text      `json:"data_sheet"`
	Printed time.Time `json:"printed"`
	Begin   When      `json:"first_event"`
	End     When      `json:"last_event"`
	Events  int       `json:"events"`
	Log     Log       `json:"log"`

	Totals      Totals       `json:"totals"`
	Zones       []Zone       `json:"zones"`
	Gates       []Gate       `json:"readiness"`
	GatesAt     When         `json:"readiness_at"`
	Overrides   []Override   `json:"overrides"`
	Readings    []Reading    `json:"readings"`
	Batches     []Batch      `json:"batches"`
	Holds       []Hold       `json:"holds"`
	Outages     []Outage     `json:"out_of_service"`
	Calls       []Call       `json:"calls"`
	Corrections []Correction `json:"corrections"`
	Diary       []Entry      `json:"diary"`
	Yield       []Yield      `json:"yield"`
	LotPlaces   []LotPlace   `json:"lots_by_place"` // only where lots must not mix
	Openings    []Opening    `json:"openings"`
	Findings    []Finding    `json:"findings"`
	Caution     string       `json:"caution"`

	sys    units.System
	charts []series
	floors []floorPicture
}

// Totals counts the whole day. Kits are sums of shares: a half batch uses half
// a kit. Opened = Used + Scrapped + Left.
type Totals struct {
	Started  int `json:"batches_started"`
	Poured   int `json:"batches_poured"`
	Scrapped int `json:"batches_scrapped"`
	OnTheWay int `json:"batches_on_the_way"`

	KitsOpened   float64 `json:"kits_opened"`
	KitsUsed     float64 `json:"kits_used"`
	KitsScrapped float64 `json:"kits_scrapped"`
	KitsLeft     float64 `json:"kits_left"` // of those opened
	KitsOnHand   Num     `json:"kits_on_hand"`
	KitsUnopened Num     `json:"kits_unopened"`

	AreaM2  float64 `json:"area_m2"`
	PouredL float64 `json:"poured_l"` // net of the plan's loss
}

// Zone is one zone as poured.
type Zone struct {
	Name    string  `json:"name"`
	Blend   string  `json:"blend"`
	Began   When    `json:"began"`
	Closed  When    `json:"closed"`
	Ended   string  `json:"ended"` // in words: full, at a stop line, short of the end
	Batches int     `json:"batches"`
	AreaM2  float64 `json:"area_m2"` // of the plan
	LaidM2  float64 `json:"laid_m2"`
	// PlanKits is what the plan's take-off asks for.
	PlanKits   int     `json:"plan_kits"`
	KitsExact  float64 `json:"plan_kits_exact"`
	M2PerKit   float64 `json:"plan_m2_per_kit"`
	RealM2Kit  Num     `json:"m2_per_kit"`
	Drift      Num     `json:"drift"`            // front moved for a litre against the plan, over all marks
	DriftLast  Num     `json:"drift_last_three"` // by the last three kits measured
	OnHand     Num     `json:"kits_on_hand"`     // at the last instant, for a zone not finished
	NeedPlan   Num     `json:"kits_to_finish_by_plan"`
	NeedMean   Num     `json:"kits_to_finish_by_mean"`
	NeedLast   Num     `json:"kits_to_finish_by_last_three"`
	ReachM2    Num     `json:"reach_m2"`
	ReachLast  Num     `json:"reach_by_last_three_m2"`
	SaveFor    Num     `json:"kits_until_reset_is_too_late"`
	Interval   Num     `json:"median_interval_s"`
	M2PerHour  Num     `json:"m2_per_hour"`
	Resets     []Reset `json:"rake_resets"`
	Edge       Edges   `json:"edges"`
	Bays       []Bay   `json:"bays"`
	BroughtL   float64 `json:"poured_l"`
	RowDepthM  float64 `json:"row_depth_m"`
	PullDeg    float64 `json:"pull_deg"`
	MeanDepthM float64 `json:"plan_mean_depth_m"`
	DepthM     Num     `json:"mean_depth_m"` // over what the newest mark measured
}

// Edges says how the wet edges of a zone were joined.
type Edges struct {
	JoinedM float64 `json:"joined_m"`
	RiskM   float64 `json:"inside_margin_m"`
	LostM   float64 `json:"too_late_m"`
	NoAgeM  float64 `json:"no_age_m"` // joined at temperatures outside the sheet
	Least   Num     `json:"least_slack_s"`
	LeastX  Num     `json:"least_x_m"`
	LeastY  Num     `json:"least_y_m"`
	LeastAt When    `json:"least_at"`
	Joins   []Join  `json:"places"`
}

// Join is the stretch of edge between two batches that was joined inside the
// margin or too late.
type Join struct {
	Old     int       `json:"batch"`
	New     int       `json:"joined_by"`
	State   string    `json:"state"` // at risk, gone
	LengthM float64   `json:"length_m"`
	X       float64   `json:"x_m"`
	Y       float64   `json:"y_m"`
	At      time.Time `json:"at"`
	AgeS    float64   `json:"age_s"` // the oldest
	OverS   float64   `json:"left_s"`
}

// Bay is one depth of a zone: a bay, or the rest outside every bay.
type Bay struct {
	Name       string  `json:"name"`
	AreaM2     float64 `json:"area_m2"`
	LaidM2     float64 `json:"laid_m2"`
	PlanDepthM float64 `json:"plan_depth_m"`
	DepthM     Num     `json:"depth_m"`
}

// Gate is one go or no-go question as it stood at the first batch.
type Gate struct {
	Name string `json:"name"`
	Call string `json:"call"` // go, amber, stop
	Why  string `json:"why"`
}

// Override is a no-go that somebody took on.
type Override struct {
	At   time.Time `json:"at"`
	What Text      `json:"what"`
	Who  Text      `json:"who"`
	Role Text      `json:"role"`
	Why  Text      `json:"why"`
}

// Reading is one reading; Value is in °C or, for humidity, a share.
type Reading struct {
	At    When    `json:"at"`
	What  string  `json:"what"`
	Spot  Text    `json:"spot"`
	Value float64 `json:"value"`
	// DewC and MarginK are worked out from the newest readings of that instant.
	DewC    Num    `json:"dew_point_c"`
	MarginK Num    `json:"dew_margin_k"`
	Note    string `json:"note"` // "plan" for the readings the plan was made with
}

// Batch is one batch from its first stir to the floor.
type Batch struct {
	No      int       `json:"batch"`
	Zone    Text      `json:"zone"`
	Mixer   int       `json:"mixer"`
	Blend   string    `json:"blend"`
	Share   float64   `json:"share"`
	Weights Text      `json:"weights"`
	Lots    []PartLot `json:"lots"`
	Started When      `json:"mix_start"`
	Parts   []When    `json:"steps_done"`
	PartsNA string    `json:"steps_na,omitempty"`
	Mixed   When      `json:"mixed"`
	Told    bool      `json:"mixed_pressed"`
	Poured  When      `json:"poured"`
	Age     Num       `json:"bucket_age_s"`
	Used    Num       `json:"bucket_life_used"` // share of its life at the pour
	Life    Num       `json:"bucket_life_s"`    // at the kit temperature then
	Gap     Num       `json:"interval_s"`       // since the pour before, same zone
	Needed  Num       `json:"longest_interval_s"`
	Limit   Num       `json:"shortest_interval_s"`
	Row     Num       `json:"row_from"`
	RowTo   Num       `json:"row_to"`
	X       Num       `json:"x_from_m"`
	Y       Num       `json:"y_from_m"`
	X2      Num       `json:"x_to_m"`
	Y2      Num       `json:"y_to_m"`
	AreaM2  Num       `json:"area_m2"`
	DepthM  Num       `json:"depth_m"`
	PouredL Num       `json:"poured_l"`
	Fate    string    `json:"fate"` // poured, scrapped, on the way, condemned, lifted
	Why     Text      `json:"why"`  // it was scrapped or condemned
	Gone    When      `json:"scrapped_at"`
	Notes   []string  `json:"corrections"`
}

// PartLot is the lot of one part of a batch.
type PartLot struct {
	Part string `json:"part"`
	Lot  Text   `json:"lot"`
}

// Hold is a time in which no batch might start, and how the floor stood at its
// end.
type Hold struct {
	From       time.Time   `json:"from"`
	To         When        `json:"to"`
	Seconds    Num         `json:"seconds"`
	Why        Text        `json:"why"`
	Where      Text        `json:"where"`
	Stop       bool        `json:"stop"`
	Zone       Text        `json:"zone"`
	X          Num         `json:"x_m"`
	Y          Num         `json:"y_m"`
	JoinM      Num         `json:"joinable_m"`
	RiskM      Num         `json:"at_risk_m"`
	GoneM      Num         `json:"gone_m"`
	WholeTill  When        `json:"whole_edge_joinable_until"`
	LastTill   When        `json:"last_point_joinable_until"`
	EdgeLife   Num         `json:"edge_life_s"`  // at the temperatures then read
	EdgeLimit  Num         `json:"edge_limit_s"` // the life less the plan's margin
	Places     []EdgePlace `json:"edge"`         // the wet edge from place to place
	Row        Num         `json:"row"`          // the newest, from 1
	LaidFirst  When        `json:"row_laid_from"`
	LaidLast   When        `json:"row_laid_to"`
	RollWindow Num         `json:"roll_window_s"`
	RollFirst  When        `json:"roll_shut_from"`
	RollLast   When        `json:"roll_shut_to"`
	BucketLife Num         `json:"bucket_life_s"`
	Waiting    int         `json:"buckets_waiting"`
	Dead       []Dead      `json:"buckets_dead"`
}

// EdgePlace is a stretch of wet edge in one state.
type EdgePlace struct {
	State   string  `json:"state"` // joinable, at risk, gone
	LengthM float64 `json:"length_m"`
	X       float64 `json:"x_from_m"`
	Y       float64 `json:"y_from_m"`
	X2      float64 `json:"x_to_m"`
	Y2      float64 `json:"y_to_m"`

	state day.EdgeState
}

// Reset is the rake set anew, with what stood before and after.
type Reset struct {
	At        time.Time `json:"at"`
	Drift     Num       `json:"drift"` // before, over all marks
	DriftLast Num       `json:"drift_last_three"`
	OnHand    Num       `json:"kits_on_hand"`
	NeedMean  Num       `json:"kits_to_finish_by_mean"`
	NeedLast  Num       `json:"kits_to_finish_by_last_three"`
	ReachM2   Num       `json:"reach_m2"`
	ReachLast Num       `json:"reach_by_last_three_m2"`
	SaveFor   Num       `json:"kits_until_reset_is_too_late"`
	NeedAfter Num       `json:"kits_to_finish_after"`
}

// Dead is a bucket that outlived its life.
type Dead struct {
	Batch int     `json:"batch"`
	AgeS  float64 `json:"age_s"`
	LifeS float64 `json:"life_s"`
}

// Outage is a time in which a post was out of service.
type Outage struct {
	Post  string    `json:"post"`
	Which int       `json:"which"`
	From  time.Time `json:"from"`
	To    When      `json:"to"`
	Why   Text      `json:"why"`
}

// Call is one thing the console called out.
type Call struct {
	ID      string `json:"id"`
	Grade   int    `json:"grade"`
	What    string `json:"what"`
	Why     string `json:"why"`
	Raised  When   `json:"raised"`
	Acked   When   `json:"answered"`
	Shelved When   `json:"put_aside"`
	Reason  Text   `json:"put_aside_why"`
	Cleared When   `json:"cleared"`
}

// Correction is a press taken back, beside what it corrects.
type Correction struct {
	At    time.Time `json:"at"`
	Of    int64     `json:"of"`
	OfAt  When      `json:"of_at"`
	What  Text      `json:"what"`
	Batch Num       `json:"batch"`
}

// Entry is a line of the diary: decisions, notes, counts, changes, clocks.
type Entry struct {
	At   time.Time `json:"at"`
	What string    `json:"what"`
	Who  Text      `json:"who"`
}

// Yield is one part of one lot, in kits: Opened = Used + Scrapped + Left and,
// where the plan counts the lot, OnHand = Opened + Unopened.
type Yield struct {
	Lot      Text    `json:"lot"`
	Part     string  `json:"part"`
	OnHand   Num     `json:"on_hand"`
	Opened   float64 `json:"opened"`
	Used     float64 `json:"used"`
	Scrapped float64 `json:"scrapped"`
	Left     float64 `json:"left"`
	Unopened Num     `json:"unopened"`
}

// Opening is a use of a zone and when it may begin.
type Opening struct {
	Zone   string `json:"zone"`
	Use    string `json:"use"`
	At     When   `json:"at"`
	Asked  bool   `json:"asked"`
	InTime Text   `json:"in_time"`
}

// Finding is something that does not fit together. Kind is a short fixed name,
// Where says which batch, zone, lot or line, What what is wrong.
type Finding struct {
	Kind  string `json:"kind"`
	Where string `json:"where"`
	What  string `json:"what"`
	At    When   `json:"at"`
}
