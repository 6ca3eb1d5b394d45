//! The machine-readable answers, exactly as scripts rely on them.
//!
//! Units: in each field's name, or with `what` beside the number. These types are
//! apart from the receiver's own, so that those stay free to change; fields are
//! added here but never renamed or taken away. Numbers are given to six figures.
//! Making a view cannot fail.

mod chart;
mod chassis;
mod check;
mod conditions;
mod danger;
mod found;
mod found_at_the_end;
mod hand_on;
mod judged;
mod near_tube;
mod offers;
mod parts;
mod picture;
mod picture_tube;
mod plan;
mod power_up;
mod practice;
mod prove;
mod re_form;
mod readings;
mod renew;
mod restoration;
mod seen;
mod stage;
mod suspects;
mod tube;
mod worth;

pub use chart::{ChartCountsView, ChartRowView, ChartView, SlipView};
pub use chassis::{
    ChassisPhotographView, ChassisView, FoundThereView, MarkView, TubeNotPlacedView, WhereView,
};
pub use check::{CheckView, ErrorView, FaultView, FaultsView, NoticeView, TroubleView};
pub use conditions::{ConditionsView, lamps_in_words};
pub use danger::DangerView;
pub use hand_on::{
    AsLeftRowView, AsLeftView, BeforeAndAfterView, CautionView, CoverView, HandingOnView,
    OriginalView, PartLineView, PictureHandedView, PowerHandedView, ReplacedView, SafetyView,
    SetStandingView, ShownPhotographView, StepHandedView, StepReadingView, StoryLineView,
    WatchView,
};
pub use judged::{JudgedView, MeantView, NarrowedView, NextView};
pub use near_tube::{ChangeView, NearTubeView};
pub use offers::{GainView, MeaningView, NextOfferView, OffersView};
pub use parts::{AddedPartView, ChangedCellView, PartView, PartsView, TakenPartsView};
pub use picture::{
    ActView, BandView, BenchMethodView, BenchReadingView, BrightnessView, ComparisonView, CureView,
    CutOffView, DriveView, EmissionView, FindingView, FoundView, HeaterJudgedView, IonTrapView,
    LawPointView, LeakView, LifeTestView, PictureView, RangeEndView, RecoveryStepView,
    RecoveryView, RunningSetView, SetRangeView, StandInView, VerdictView, WireView,
};
pub use picture_tube::{CloseReplacementView, PictureTubeView};
pub use plan::{
    ChargedView, LampFaultView, LampView, PlanView, StepView, StopView, ThreatenedView,
    UnguardedView, WorkView,
};
pub use power_up::{
    AnsweredStopView, AskedView, BeyondView, LimitView, PassedView, PowerUpView, StandingStopView,
    TimerView,
};
pub(crate) use power_up::{again_in_words, asked_views};
pub use practice::{HiddenFaultView, PracticeView};
pub(crate) use prove::three_figures;
pub use prove::{
    ProofCountsView, ProofItemView, ProofRecordedView, ProofReopenedView, ProofSignatureView,
    ProofSlotView, ProofUnknownView, ProofView,
};
pub use re_form::{
    FormingEndView, FormingForecastView, FormingListView, FormingReadingView, FormingRecordedView,
    FormingView, FormingsView, SeriesResistorView,
};
pub use readings::{ExpectationView, ReadingView, ShareView, UnknownView};
pub use renew::{
    ExceededView, FirstFilterView, OrderLineView, OrderView, RectifierResistorView,
    RenewalPlanView, RenewalView, RightPartView, RunView, SeleniumGroupView, SetNeedView,
    SiliconView, TubeAgainstView,
};
pub(crate) use restoration::conditions_in_words;
pub use restoration::{EntryView, KeptView, RecordedView, StoryView};
pub use seen::{SeenOfView, ThingToSeeView, ThingsToSeeView};
pub use stage::{
    LeftOutView, LineView, StageListView, StagePatternView, StageQuestionView, StageView,
};
pub use suspects::{
    AfterReadingView, AsReadView, BesideView, ExplainView, HuntedReadingView, NotFollowedView,
    NoticedSpeaksView, NoticedView, PairView, PartFoundView, SilentView, SpeaksView, SuspectView,
    SuspectsView, SymptomSectionView, SymptomView, SymptomsView, WayView, WhatIfRowView,
    WhatIfView,
};
pub use tube::{
    BaseView, ContactView, DropView, HeaterView, PointView, RectifierView, SectionView, SourceView,
    TubeAnswerView, TubeTypeView,
};
pub use worth::{IrreplaceableView, NextTestView, SpreadView, WorthFigureView, WorthView};

/// A number to six figures, so that answers carry no digits without meaning.
pub fn six_figures(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    format!("{value:.5e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::six_figures;

    #[test]
    fn numbers_keep_six_figures() {
        for (given, wanted) in [
            (345.20000000001, 345.2),
            (0.000123456789, 0.000123457),
            (-12345678.0, -12345700.0),
            (0.0, 0.0),
            (999999.7, 1.0e6),
        ] {
            assert_eq!(six_figures(given), wanted);
        }
        assert!(six_figures(f64::NAN).is_nan());
    }
}
