#include "record/batch_writer.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

#include <chrono>

#include "record/damage.hpp"

namespace drumwatch {
namespace {

constexpr int kLogPagesQuiet = 50;
constexpr int kLogPagesEver = 1000;  // 4 MB: also while roasting, or the log would grow all day
constexpr std::int64_t kMegabyte = 1024 * 1024;

WallTime wall_now() {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    return {std::chrono::duration_cast<std::chrono::milliseconds>(now).count()};
}

int remember_log_pages(void* pages, sqlite3*, const char*, int count) {
    *static_cast<int*>(pages) = count;
    return SQLITE_OK;
}

}  // namespace

Result<std::unique_ptr<BatchWriter>> BatchWriter::make(OpenedRecord opened,
                                                       const RecorderSettings& settings) {
    auto rows = RowWriter::prepare(opened.database);
    if (!rows) return Error{fmt::format("{} is not as its version says: {}", settings.path, rows.error())};
    return std::unique_ptr<BatchWriter>(
        new BatchWriter(std::move(opened), std::move(rows.value()), settings));
}

BatchWriter::BatchWriter(OpenedRecord opened, RowWriter rows, const RecorderSettings& settings)
    : opened_(std::move(opened)),
      rows_(std::move(rows)),
      upkeep_(opened_.database, rows_, {settings.raw_months, settings.budget_mb * kMegabyte}),
      sealer_(opened_.database),
      path_(settings.path) {
    sqlite3_wal_hook(opened_.database.handle(), remember_log_pages, &log_pages_);
}

BatchWriter::~BatchWriter() { sqlite3_wal_hook(opened_.database.handle(), nullptr, nullptr); }

Outcome BatchWriter::commit(const CommitGroup& batch) {
    Outcome outcome;
    damaged_ = false;
    const auto done = write_all(batch, outcome);
    outcome.written = done.ok();
    if (!done) outcome.complaint = complaint_of(done.error());
    if (damaged_) mark_damaged(path_, true);
    return outcome;
}

std::string BatchWriter::complaint_of(const std::string& why) const {
    if (!damaged_) return fmt::format("the record can't be written: {}", why);
    return fmt::format(
        "the record is damaged and can't be written ({}): readings are kept in memory; the next start sets "
        "it "
        "aside and begins a new one",
        why);
}

/// At once after the call that failed: a rollback's success would hide it.
void BatchWriter::note_damage() {
    if (opened_.database.error_kind() == DatabaseError::damaged) damaged_ = true;
}

Result<Done> BatchWriter::write_all(const CommitGroup& batch, Outcome& outcome) {
    auto transaction = Transaction::begin(opened_.database);
    if (!transaction) {
        note_damage();
        return Error{transaction.error()};
    }
    sealer_.forget_noted();
    for (std::size_t i = 0; i < batch.rows.size(); ++i) {
        auto done = rows_.write(batch.rows[i]);
        if (!rows_.notice().empty()) outcome.notice = rows_.notice();
        if (done) done = sealer_.note(batch.rows[i]);
        if (done) continue;
        if (!refused(done.error(), outcome)) return done;
        outcome.refused_rows.insert(i);
    }
    if (auto done = write_frames(batch, outcome); !done) return done;
    if (auto done = seal_again(outcome); !done) return done;
    auto committed = transaction.value().commit();
    if (!committed) note_damage();
    return committed;
}

/// What can't be sealed anew (its frames lie on a damaged page, say) must not keep new readings out.
Result<Done> BatchWriter::seal_again(Outcome& outcome) {
    auto done = sealer_.seal_noted(wall_now());
    if (done || !opened_.database.in_transaction()) return done;
    outcome.notice = fmt::format("a roast that was changed can't be sealed again: {}", done.error());
    return Done{};
}

Result<Done> BatchWriter::write_frames(const CommitGroup& batch, Outcome& outcome) {
    std::vector<Frame> run;
    for (std::size_t i = 0; i < batch.frames.size(); ++i) {
        const std::uint64_t watch = batch.frames[i].watch;
        run.push_back(batch.frames[i].frame);
        if (i + 1 < batch.frames.size() && batch.frames[i + 1].watch == watch) continue;
        if (auto done = write_run(watch, run, outcome); !done) return done;
        run.clear();
    }
    return Done{};
}

Result<Done> BatchWriter::write_run(std::uint64_t watch, const std::vector<Frame>& run, Outcome& outcome) {
    for (const PackedFrames& packed : pack_rows(run)) {
        auto done = rows_.write_frames(watch, packed, FrameForm::written);
        if (done) continue;
        if (!refused(done.error(), outcome)) return done;
        outcome.refused_frames += static_cast<std::uint64_t>(packed.count);
    }
    return Done{};
}

/// True: the database can never take this row, so that it is left out and the others go on.
bool BatchWriter::refused(const std::string& why, Outcome& outcome) {
    note_damage();
    if (opened_.database.error_kind() != DatabaseError::refused) return false;
    outcome.notice = fmt::format("the record refused a row for good: {}", why);
    return true;
}

bool BatchWriter::upkeep(bool quiet, std::string& notice) {
    auto did = upkeep_.repack_one();
    if (did && !did.value()) did = sealer_.seal_next(wall_now());
    if (did && !did.value() && quiet) did = upkeep_.keep_within(wall_now());
    if (!did) notice = fmt::format("tidying the record failed, which loses nothing: {}", did.error());
    if (upkeep_.over_budget()) {
        notice = "the record is over its budget with roasts alone, which never go: give it a larger budget";
    }
    checkpoint(quiet);
    return did && did.value();
}

/// PASSIVE waits for nobody. The log's file shrinks by journal_size_limit when it starts over.
void BatchWriter::checkpoint(bool quiet) {
    if (log_pages_ < (quiet ? kLogPagesQuiet : kLogPagesEver)) return;
    sqlite3_wal_checkpoint_v2(opened_.database.handle(), nullptr, SQLITE_CHECKPOINT_PASSIVE, nullptr,
                              nullptr);
    log_pages_ = 0;  // what a reader held back comes with the next one
}

std::int64_t BatchWriter::used_mb() {
    const auto used = upkeep_.used_bytes();
    return used ? (used.value() + kMegabyte - 1) / kMegabyte : 0;
}

}  // namespace drumwatch
