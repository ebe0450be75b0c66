// The one pure engine: frames, commands and observations in, a snapshot and events out. It does no I/O, reads
// no clock, starts no thread, holds no global; its state is a function of Begin and of what it was told
// since, in order.
//
// Thread: one. Order is the feeder's duty: ticks never go back; a command or observation of tick t is told
// before the frame of tick t. A tick without news from the drivers is a frame all the same (samples held
// over). Failure: none; a command that can't be done answers with its Refusal and changes nothing.
#pragma once

#include <cstdint>
#include <vector>

#include "alarms/alarm_book.hpp"
#include "core/command.hpp"
#include "core/event.hpp"
#include "core/observation.hpp"
#include "core/reading.hpp"
#include "core/snapshot.hpp"
#include "engine/batch.hpp"
#include "engine/begin.hpp"
#include "roast/signal/probe_doubt.hpp"
#include "roast/signal/probe_watch.hpp"

namespace drumwatch {

class Engine {
  public:
    explicit Engine(Begin begin);

    void observe(const Observation& observation);
    Refusal apply(const Command& command);
    /// Valid until the next call.
    const Snapshot& step(const Frame& frame);
    const Snapshot& snapshot() const { return snapshot_; }
    /// The target chosen now; null: none.
    TargetPtr target() const { return target_ ? target_->pointer() : nullptr; }
    const Lessons& lessons() const { return lessons_; }  ///< what is known for the next roast
    /// What has happened since the last call, in order. Valid until the next call.
    const std::vector<Event>& take_events();
    bool has_news() const { return !events_.empty(); }  ///< something that take_events() would give
    std::uint64_t next_roast() const { return next_roast_; }
    /// How long the drum has been empty; nothing with a batch in it.
    std::optional<std::int64_t> empty_ms() const;
    /// What a watch that begins at `first` goes on with; whole only with an empty drum. Without the warm-up,
    /// which the feeder has.
    Carried carry(Tick first) const;

  private:
    struct ChannelState {
        ChannelState(Validator judge, Smoother smooth) : validator(judge), smoother(smooth) {}
        Validator validator;
        Smoother smoother;
        std::optional<Smoother::Line> line;  ///< at this tick
        Quality quality = Quality::good;     ///< before the first frame: what is good then is no news
        Milli value_milli = 0;
        Tick fresh_at;
        bool ever_fresh = false;
        bool heated = false;  ///< stands in the machine's heat: watched beside the others
        bool has_twin = false;
        std::size_t looked_at_in = 0;  ///< which tick of a second
        ProbeWatch watch;
        Quality watched = Quality::never_read;  ///< by `watch`, of the newest fresh reading
        NoiseWatch noise;
        TwinWatch twin;
        ProbeDoubt doubt = ProbeDoubt::none;
    };

    // engine.cpp: the tick
    void warm_up();
    void take_in(const Frame& frame);
    void note_quality(std::size_t channel, Quality quality, Tick now);

    // probes.cpp: what the machine's probes say of each other
    Quality unless_frozen(Quality judged, const Sample& sample, Tick now);
    Quality beside_others(std::size_t channel, Quality judged, const Sample& sample, Tick now);
    void rate(std::size_t channel);
    void feel_heat(Tick now);
    Surroundings around(std::size_t channel, Tick now);
    void doubt_probes(Tick now);
    void know_heated();
    void doubt_twin(std::size_t channel, Tick now);

    // engine.cpp
    BeanTick bean_tick(const Frame& frame) const;
    bool far_too_hot(const BeanTick& bean) const;
    void follow_drum(const BeanTick& bean, const Frame& frame);
    void start_charged(const Found& found, Tick now);
    void look_for_charge_anew() {
        charge_.restart();
        charge_found_.reset();
    }
    bool find_start(const BeanTick& bean);
    void check_marked_charge(const BeanTick& bean);
    void watch_moves(const Frame& frame);
    void sound_alarms(Tick now);
    ProbeInput probe(Role role, Tick now) const;
    RoastInput roast_input(Tick now, bool all) const;
    void add_probes(AlarmInputs& inputs, Tick now, bool all) const;
    AlarmInputs alarm_inputs(Tick now) const;
    std::uint64_t roast_of(AlarmRule rule) const;
    Refusal put_aside(const Command& command);
    void say_alarm_act(const Command& command);
    void end_cooling(Tick now);

    // batches.cpp: a batch's life
    void start_batch(MilestoneAt charge, Tick now);
    std::optional<double> idle_s(Tick charge) const;
    void drop_batch(Tick now);
    void judge_last(Tick now);
    void learn(const VerdictView& finished);
    Refusal mark(const Command& command);
    Refusal mark_charge(const Command& command);
    Refusal mark_drop(const Command& command);
    Refusal withdraw(const Command& command);
    Refusal withdraw_charge(const Command& command);
    Refusal give_up(const Command& command, EventKind kind);
    void go_on_roasting();
    void take_back_drop(Tick now);
    void start_unseen(const LateStart::Milestones& late, Tick now);
    void say_disagreement(Milestone milestone, Tick now);
    void withdraw_doubted(double risen_c, Tick now);
    void empty_drum(Tick now);
    Refusal choose_target(const Command& command);
    Refusal made_move(const Command& command);
    bool reads(Control control) const;
    bool over_full(const Command& command) const;
    Refusal retime_move(const Command& command);
    Batch* living();

    // picture.cpp: the snapshot
    void draw(Tick now);
    void show(const ChannelState& state, Tick now, ChannelView& view) const;
    ReadyView ready() const;
    void prompt_charge(const Batch& batch, Tick now);
    void draw_prompts(Tick now);

    Event& say(EventKind kind, Tick now, Tick at);
    Event& say_milestone(EventKind kind, std::uint64_t roast, Milestone milestone, const MilestoneAt& what,
                         Tick now);
    const ChannelState* channel(Role role) const;

    Begin begin_;
    std::vector<ChannelState> channels_;
    StandStill bean_still_;
    std::uint16_t silent_channels_ = 0;  ///< bits, as the alarms judge them
    std::uint16_t faulty_channels_ = 0;
    std::size_t each_second_ = 4;   ///< ticks
    std::size_t second_phase_ = 0;  ///< which of them this is: what is calm is looked at once a second
    static constexpr double kNone_c = -1000;
    struct Heat {
        Tick at{-1};
        double room_c = 25;
        double hottest_c = kNone_c;  ///< of the machine's good probes
        double second_c = kNone_c;
        std::optional<std::size_t> hottest;  ///< which channel has it
    } heat_;
    std::array<std::optional<std::size_t>, kRoles> roles_;  ///< which channel plays each
    AlarmBook alarms_;
    ChargeDetector charge_;
    std::optional<Found> charge_found_;  ///< told at the next tick
    LateStart late_;
    std::array<MoveDetector, kControls> move_detectors_{MoveDetector{Control::burner},
                                                        MoveDetector{Control::airflow}};
    FixedList<MadeMove, 8> recent_moves_;  ///< newest last; a charge found late still gets its moves
    CurvePtr target_;
    Lessons lessons_;
    std::optional<Lessons> before_last_;  ///< what was known before the last roast taught
    std::uint64_t next_roast_;
    Batch batches_[2];  ///< the one in the drum and the last one, taking turns
    std::size_t current_ = 0;
    bool roasting_ = false;
    bool last_alive_ = false;  ///< the batch before may still be marked and judged again
    std::optional<CoolingView> cooling_;
    std::optional<VerdictView> last_verdict_;
    struct Disagreement {
        Milestone milestone = Milestone::charge;
        double off_s = 0;
        Tick said;
    };
    std::optional<Disagreement> disagrees_;
    std::optional<Tick> last_drop_;  ///< no charge lies before it
    bool roast_too_hot_ = false;     ///< far, and since a roast that is in the drum, or was
    Tick empty_since_;
    std::uint32_t silent_buses_ = 0;
    std::uint32_t health_bad_ = 0;
    std::uint32_t failed_sounders_ = 0;
    std::vector<Event> events_;
    std::vector<Event> taken_;  ///< the other one: they take turns, and keep their room
    Snapshot snapshot_;
    Tick fan_drawn_;
    std::optional<std::pair<std::size_t, std::uint64_t>> moves_drawn_;  ///< of which batch and matching
};

}  // namespace drumwatch
