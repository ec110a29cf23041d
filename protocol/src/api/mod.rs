//! The messages of the service's HTTP API.
//!
//! Units are in the names (`net_g`, `age_ms`). Fields are only ever added: unknown ones are ignored in
//! answers and refused in requests. [`API_NUMBER`] grows when an old client could misunderstand.
//!
//! One file for each group of calls, as in the service's `api`; `view`, `doing`, `question` and `said` are what a bench tells, `object` and
//! what is here serve all.

mod amend;
mod batch;
mod bench;
mod doing;
mod folder;
mod kept;
mod label;
mod learnt;
mod object;
mod page;
mod plan;
mod problem;
mod question;
mod recipe;
mod repeat;
mod rescue;
mod said;
mod scale;
mod share;
mod shelf;
mod view;

pub use amend::{
    AddSaid, AgainWord, AmendJars, AmendmentLine, AmendsLine, CostLine, JarNow, JoinJars, LotJar,
    LotLine, LotTraced, MovedSaid, NowLine, OpenedAgain, TakeOutOfJar,
};
pub use batch::{
    BatchEntry, BatchList, BatchRecord, BatchSummary, ContentLine, OutcomeLine, OutcomeSaid,
    PouredInto, RescueTaken, WayFigures, WayOffered, WeighedOn,
};
pub use bench::{
    AnswerWord, AttachScale, AttachWord, BenchSummary, CommandRequest, CommandWord, JarOnPan,
    KnownJar, MeasuresSaid, OpenBatch, OpenSet, RehearsalRequest, SetRehearsalRequest, Size,
    Status, WalkWord,
};
pub use doing::{BottleWord, Doing};
pub use folder::{FileWord, FolderAnswer, FolderFile, LeftOut, NameFolder, WriteFile};
pub use kept::{
    CopyLog, KeptBatch, KeptEntry, KeptTransfer, KeptVessel, LogChecked, LogCopied, TakenIn,
};
pub use label::{LabelForm, LabelRequest, LabelSays};
pub use learnt::{ForgetLearnt, LearntKind, LearntLine, LearntList, LearntWord, SwitchLearnt};
pub use page::{
    CodeGiven, EnterPage, Entered, LanguageWord, NewCode, OpenPage, PagePlace, PageState, RoleWord,
    SayAloud, VisitorLine, VoiceState,
};
pub use plan::{
    PlanAnswer, PlanCost, PlanJar, PlanNeed, PlanPour, PlanPremix, PlanRequest, PlanStint,
    PlanWalk, PlanWarning, PlanWork,
};
pub use problem::Problem;
pub use question::{OptionView, PourLine, QuestionView, ShareView};
pub use recipe::{
    ChangedLine, CheckAnswer, CheckRequest, ChoiceLine, DiagnosticLine, SizeRequest,
    SizedProcedure, SizedStep,
};
pub use repeat::{BatchRecipe, ComparedBatches, ComparedIngredient, Pair, RecipeFile, RepeatBatch};
pub use rescue::{PouredSaid, RescueAnswer, RescueLine, RescuePour, RescueRequest, RescueShare};
pub use said::{
    AboutWord, Advised, ChangeWord, ConcernSaid, CountSaid, CountUnitWord, DryWord, EntrySaid,
    LabelSaid, ObstacleSaid, PlaceWord, PlanSaid, RemarkSaid, SeenWord, ShelfSaid, SlipWord,
    StepAction, TroubleWord, Watered, WayRound, WeighWord, ZeroWord,
};
pub use scale::{
    BenchScale, Caution, Chunk, ChunkWord, ChunksBegin, Need, PortLine, RadioLine, RadioList,
    ReadingLine, ScaleList, ScaleState, ScaleWord, WeightState,
};
pub use share::{AdoptedRecipe, CardForm, CountryWord, ShareRequest, ShareSetRequest, SharedCard};
pub use shelf::{
    DrawLine, IngredientDrawn, PackLine, ShelfDrawn, ShelfStock, ShelfWarning, StockLine,
    StockRequest,
};
pub use view::{
    BatchStateWord, ConcernLine, CueLine, JarLine, StepStatus, StepView, TapsHeard, VerdictWord,
    View, WeightNow,
};

/// The number of this API. The status answer carries it, so that each side can tell which one is too old.
pub const API_NUMBER: u32 = 1;
