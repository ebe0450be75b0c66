#include "support/alarm_record.hpp"

#include <cmath>
#include <stdexcept>

#include "record/batch_writer.hpp"
#include "watch/journal.hpp"
#include "watch/watch_text.hpp"

namespace drumwatch {

namespace {

using enum AlarmRule;
using enum EventKind;
using enum Priority;

constexpr std::int64_t kFirstDay_ms = 1'795'507'200'000;  // 2026-11-24T08:00:00Z

Tick tick(double s) { return {static_cast<std::int64_t>(std::llround(s * 1000))}; }

/// Writes rows of the watch that was opened last; times are s since the first watch of its run began.
class RecordMaker {
  public:
    explicit RecordMaker(const std::string& path) {
        auto opened = open_record(path);
        if (!opened) throw std::runtime_error(opened.error());
        RecorderSettings settings;
        settings.path = path;
        auto writer = BatchWriter::make(std::move(opened.value()), settings);
        if (!writer) throw std::runtime_error(writer.error());
        writer_ = std::move(writer.value());
    }

    void watch(std::uint64_t id, std::int64_t began_ms, double first_s) {
        watch_ = id;
        began_ms_ = began_ms;
        first_s_ = first_s;
        Begin begin;
        begin.watch = id;
        begin.carried.first = tick(first_s);
        set_rules(begin.settings.alarms);
        WatchRow row;
        row.id = id;
        row.began = {began_ms};
        row.begin = begin_text(begin);
        rows_.rows.push_back(row);
    }
    void end(double s) { rows_.rows.push_back(WatchEnd{watch_, tick(s).ms}); }
    void frame(double s) {
        Frame frame;
        frame.tick = tick(s);
        rows_.frames.push_back({watch_, frame});
    }
    void roast(std::uint64_t id, double charge_s, double drop_s, Disposition disposition) {
        RoastRecord row = roast_row(id, charge_s, RoastState::finished);
        row.drop = tick(drop_s);
        row.verdict = Verdict{};
        row.verdict->roast = id;
        row.verdict->disposition = disposition;
        rows_.rows.push_back(row);
    }
    void roast_in_drum(std::uint64_t id, double charge_s) {
        rows_.rows.push_back(roast_row(id, charge_s, RoastState::roasting));
    }
    void event(double s, EventKind kind, std::uint64_t occurrence, AlarmRule rule, Priority priority,
               std::uint64_t roast, double value_c = 0, double limit_c = 0) {
        Event event;
        event.tick = event.at = tick(s);
        event.kind = kind;
        event.occurrence = occurrence;
        event.rule = rule;
        event.priority = priority;
        event.roast = roast;
        event.value_milli = to_milli(value_c).value_or(0);
        event.limit_milli = to_milli(limit_c).value_or(0);
        put(event, std::string(name(kind)));
    }
    /// As the engine says it: an acknowledgement and a reset name the occurrence only.
    void done(double s, EventKind kind, CommandKind command_kind, std::uint64_t occurrence,
              std::uint64_t roast, const std::string& who) {
        Command command;
        command.tick = tick(s);
        command.kind = command_kind;
        command.occurrence = occurrence;
        rows_.rows.push_back(CommandRow{watch_,
                                        command.tick.ms,
                                        std::string(name(command_kind)),
                                        command_text(command),
                                        who,
                                        "",
                                        {began_ms_}});
        event(s, kind, occurrence, bean_high_high, medium, roast);
    }
    void shelved(double s, std::uint64_t occurrence, AlarmRule rule, std::uint64_t roast) {
        Event event;
        event.tick = event.at = tick(s);
        event.occurrence = occurrence;
        event.rule = rule;
        event.roast = roast;
        put(event, "alarm_shelved");
    }
    void commit() {
        const Outcome outcome = writer_->commit(rows_);
        if (!outcome.written || !outcome.refused_rows.empty()) throw std::runtime_error(outcome.complaint);
        rows_ = {};
    }

  private:
    static void set_rules(AlarmSettings& settings) {
        for (RuleSettings& rule : settings.rules) rule.on = false;
        for (const AlarmRule rule : {bean_high_high, drift, bean_probe_fault, bus_silent, record_failing}) {
            settings[rule].on = true;
            settings[rule].priority = rule == bean_high_high ? high : rule == drift ? medium : low;
        }
    }
    RoastRecord roast_row(std::uint64_t id, double charge_s, RoastState state) const {
        RoastRecord row;
        row.id = id;
        row.watch = watch_;
        row.station = "Saltmarsh Mill";
        row.state = state;
        row.charge = tick(charge_s);
        row.charged_at = {began_ms_ + tick(charge_s - first_s_).ms};
        row.milestones[static_cast<std::size_t>(Milestone::charge)] = {row.charge, 195'000,
                                                                       MarkSource::detected};
        row.moves = row.reasons = "[]";
        return row;
    }
    void put(const Event& event, const std::string& kind) {
        const JournalEntry entry = journal_entry(event);
        rows_.rows.push_back(
            EventRow{watch_, entry.roast, entry.tick_ms, entry.at_ms, kind, entry.body, entry.text});
    }

    std::unique_ptr<BatchWriter> writer_;
    CommitGroup rows_;
    std::uint64_t watch_ = 0;
    std::int64_t began_ms_ = 0;
    double first_s_ = 0;
};

/// A morning: a bus that was gone for 6 s, a good roast, a drift, a probe that chatters, and a flood.
void first_watch(RecordMaker& record) {
    record.watch(1, kFirstDay_ms, 0);
    record.event(60, alarm_raised, 1, bus_silent, medium, 0);
    record.event(66, alarm_cleared, 1, bus_silent, medium, 0);
    record.roast(1, 600, 1320, Disposition::clear);
    record.roast(2, 1800, 2520, Disposition::taste);
    record.event(2000, alarm_raised, 2, drift, medium, 2, 2.9, 2.2);
    record.done(2018, alarm_acknowledged, CommandKind::acknowledge, 2, 2, "Ada, tablet 1");
    record.event(2060, alarm_cleared, 2, drift, medium, 2, 1.4, 2.2);
    record.roast(3, 3000, 3720, Disposition::hold);
    for (std::uint64_t i = 0; i < 3; ++i) {
        const double s = 3100 + 12 * static_cast<double>(i);
        record.event(s, alarm_raised, 3 + i, bean_probe_fault, high, 3, 0.005);
        record.event(s + 11, alarm_cleared, 3 + i, bean_probe_fault, high, 3, 0.005);
    }
    record.done(3136, alarms_silenced, CommandKind::silence, 0, 3, "Bo");
    record.done(3140, alarm_acknowledged, CommandKind::acknowledge, 5, 3, "Bo");
    constexpr AlarmRule kInTurn[] = {bus_silent, record_failing, exhaust_high};
    for (std::uint64_t i = 0; i < 12; ++i) {
        const double s = 9000 + 40 * static_cast<double>(i);
        const AlarmRule rule = kInTurn[i % 3];
        record.event(s, alarm_raised, 6 + i, rule, rule == record_failing ? low : medium, 0, 301.2, 300);
        record.event(s + 30, alarm_cleared, 6 + i, rule, rule == record_failing ? low : medium, 0, 296.8,
                     300);
        if (i < 3)
            record.done(s + 35, alarm_acknowledged, CommandKind::acknowledge, 6 + i, 0, "Ada, tablet 1");
    }
    record.event(14'000, alarm_raised, 18, exhaust_high, medium, 0, 300.4, 300);
    record.end(14'400);
    record.commit();
}

/// Cut, not begun anew: what was active goes on. A day and more, in which nobody looks at the disk.
void second_watch(RecordMaker& record) {
    record.watch(2, kFirstDay_ms + 14'400'250, 14'400.25);
    record.roast(4, 14'500, 15'200, Disposition::clear);
    record.roast(5, 15'800, 16'500, Disposition::taste);
    record.event(15'900, alarm_raised, 19, drift, medium, 5, -2.6, 2.2);
    for (int i = 0; i < 4; ++i) record.shelved(15'910 + 80 * i, 19, drift, 5);
    record.event(16'300, alarm_cleared, 19, drift, medium, 5, -1.5, 2.2);
    record.event(18'000, alarm_cleared, 18, exhaust_high, medium, 0, 296.9, 300);
    record.event(20'000, alarm_raised, 20, bean_high_high, high, 0, 245.1, 240);
    record.event(20'030, alarm_cleared, 20, bean_high_high, high, 0, 236.9, 240);
    record.done(20'050, alarm_acknowledged, CommandKind::acknowledge, 20, 0, "Ada, tablet 1");
    record.event(21'500, alarm_raised, 21, record_failing, low, 0);
    record.end(109'800);  // 2026-11-25T14:30:00Z
    record.commit();
}

/// Begun anew: the failing record is forgotten, the latched alarm is not. Still open, with a roast in the
/// drum.
void third_watch(RecordMaker& record) {
    record.watch(3, kFirstDay_ms + 169'200'000, 0);  // 2026-11-26T07:00:00Z
    record.done(100, alarm_reset, CommandKind::reset, 20, 0, "=Ada");
    record.roast_in_drum(6, 3600);
    record.event(4000, alarm_raised, 22, drift, medium, 6, 3.25, 2.2);
    record.frame(0);
    record.commit();
    record.frame(4200);
    record.commit();
}

}  // namespace

void make_alarm_record(const std::string& path) {
    RecordMaker record(path);
    first_watch(record);
    second_watch(record);
    third_watch(record);
}

}  // namespace drumwatch
