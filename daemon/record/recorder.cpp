#include "record/recorder.hpp"

#include <chrono>
#include <condition_variable>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

#include "record/batch_writer.hpp"
#include "record/disk.hpp"
#include "record/queue.hpp"

namespace drumwatch {
namespace {

using SteadyClock = std::chrono::steady_clock;
using Lock = std::unique_lock<std::mutex>;

constexpr std::chrono::milliseconds kBusyPace{1000};
constexpr std::chrono::milliseconds kQuietPace{5000};
constexpr std::chrono::milliseconds kRetryPace{1000};
constexpr std::chrono::milliseconds kLastRetryPace{250};
constexpr std::chrono::seconds kLastTries{3};
constexpr std::chrono::seconds kUpkeepAtOnce{1};
constexpr std::chrono::seconds kDiskStalls{
    10};  // a sync on an SD card can take seconds (judgement, no source)
constexpr std::int64_t kDiskLowMb = 256;

class ThreadRecorder final : public Recorder {
  public:
    ThreadRecorder(RecorderSettings settings, RecordFound found, std::unique_ptr<BatchWriter> writer)
        : path_(std::move(settings.path)),
          found_(std::move(found)),
          writer_(std::move(writer)),
          queue_(settings.queue_frames) {
        Lock lock(mutex_);
        look_at_disk(lock);
        thread_ = std::thread([this] { run(); });
    }

    ~ThreadRecorder() override {
        end_watch();
        {
            const Lock lock(mutex_);
            stop_by_ = SteadyClock::now() + kLastTries;
        }
        wake_.notify_one();
        thread_.join();
    }

    const RecordFound& found() const override { return found_; }

    void begin_watch(WatchRow watch) override {
        end_watch();
        const Lock lock(mutex_);
        watch_ = watch.id;
        newest_.reset();
        queue_.push(Row{std::move(watch)});
    }

    void continue_watch(std::uint64_t id, Tick newest) override {
        end_watch();
        const Lock lock(mutex_);
        watch_ = id;
        newest_ = newest;
        queue_.push(Row{WatchReopened{id}});
    }

    void label(std::uint64_t watch, WallTime began) override {
        const Lock lock(mutex_);
        queue_.push(Row{WatchLabel{watch, began}});
    }

    void end_watch() override {
        const Lock lock(mutex_);
        if (watch_ == 0) return;
        queue_.push(Row{WatchEnd{watch_, newest_.value_or(Tick{}).ms}});
        watch_ = 0;
    }

    void busy(bool roasting) override {
        {
            const Lock lock(mutex_);
            busy_ = roasting;
        }
        wake_.notify_one();
    }

    void append(const Frame& frame) override { append(TickRows{frame, {}, {}}); }

    void append(TickRows tick) override {
        bool full = false;
        {
            const Lock lock(mutex_);
            push(tick.frame);
            for (EventRow& event : tick.events) push(std::move(event));
            for (RoastRecord& roast : tick.roasts) push(std::move(roast));
            full = queue_.filling_up();
        }
        if (full) wake_.notify_one();
    }

    void append(EventRow event) override {
        const Lock lock(mutex_);
        push(std::move(event));
    }
    void append(ObservationRow observation) override {
        const Lock lock(mutex_);
        push(std::move(observation));
    }

    void append(CommandRow command, std::function<void(bool)> committed) override {
        {
            const Lock lock(mutex_);
            if (command.watch == 0) command.watch = watch_;
            queue_.push(Row{std::move(command)});
            if (committed) queue_.wait_for(std::move(committed));
        }
        wake_.notify_one();
    }

    void append(std::vector<LateFactRow> facts, std::function<void(bool)> committed) override {
        {
            const Lock lock(mutex_);
            for (LateFactRow& fact : facts) queue_.push(Row{std::move(fact)});
            queue_.wait_for(std::move(committed));
        }
        wake_.notify_one();
    }

    void append(CareRow care, std::function<void(bool)> committed) override {
        keep(Row{std::move(care)}, std::move(committed));
    }

    void append(ProbeRow probe, std::function<void(bool)> committed) override {
        keep(Row{std::move(probe)}, std::move(committed));
    }

    void settled(std::function<void()> then) override {
        Lock lock(mutex_);
        if (!queue_.rows_wait()) {
            lock.unlock();
            return then();
        }
        queue_.wait_for([then = std::move(then)](bool) { then(); });
        lock.unlock();
        wake_.notify_one();
    }

    void put(RoastRecord roast) override {
        const Lock lock(mutex_);
        push(std::move(roast));
    }

    void put(TargetRow target) override {
        const Lock lock(mutex_);
        queue_.push(Row{std::move(target)});
    }

    RecorderStatus status() const override {
        const Lock lock(mutex_);
        RecorderStatus status = status_;
        status.frames_lost = refused_frames_ + queue_.lost();
        status.waiting = queue_.size();
        const auto at_disk_for = SteadyClock::now() - at_disk_since_;
        if (status.at_disk && at_disk_for > kDiskStalls) {
            status.writing = false;
            status.complaint =
                "the disk has not answered for " +
                std::to_string(std::chrono::duration_cast<std::chrono::seconds>(at_disk_for).count()) + " s";
        }
        return status;
    }

  private:
    /// A row of no watch, that somebody waits for.
    void keep(Row row, std::function<void(bool)> committed) {
        {
            const Lock lock(mutex_);
            queue_.push(std::move(row));
            queue_.wait_for(std::move(committed));
        }
        wake_.notify_one();
    }

    // Under the lock, into the open watch where the row names none.
    void push(const Frame& frame) {
        if (watch_ == 0 || (newest_ && frame.tick <= *newest_) || frame.channels > kMaxChannels)
            return queue_.count_lost(1);
        newest_ = frame.tick;
        queue_.push(WatchFrame{watch_, frame});
    }
    void push(RoastRecord roast) {
        if (roast.watch == 0) roast.watch = watch_;
        queue_.push_roast(std::move(roast));
    }
    template <typename T>
    void push(T row) {
        if (row.watch == 0) row.watch = watch_;
        queue_.push(Row{std::move(row)});
    }

    SteadyClock::duration pace() const {
        if (!status_.writing) return kRetryPace;
        return busy_ ? kBusyPace : kQuietPace;
    }

    /// Somebody waits for an answer, or the queue fills faster than the pace empties it.
    bool urgent() const { return queue_.somebody_waits() || (status_.writing && queue_.filling_up()); }

    void run() {
        Lock lock(mutex_);
        while (!stop_by_) {
            ++status_.turns;
            while (!stop_by_ && !urgent() && SteadyClock::now() < tried_ + pace()) {
                wake_.wait_until(lock, tried_ + pace());
            }
            const bool written = write(lock);
            if (written && !stop_by_) tidy(lock);
            look_at_disk(lock);
        }
        while (queue_.size() > 0 && !write(lock) && SteadyClock::now() < *stop_by_) {
            wake_.wait_for(lock, kLastRetryPace);
        }
    }

    /// Without the lock, and known to be waiting for the disk.
    template <typename Work>
    auto at_disk(Lock& lock, const Work& work) {
        status_.at_disk = true;
        at_disk_since_ = SteadyClock::now();
        lock.unlock();
        auto result = work();
        lock.lock();
        status_.at_disk = false;
        return result;
    }

    /// True: nothing waits to be written any more, as far as this batch goes.
    bool write(Lock& lock) {
        tried_ = SteadyClock::now();
        CommitGroup batch = queue_.take();
        const std::vector<Waiting> waiting = std::exchange(batch.waiting, {});
        if (batch.size() == 0) {
            answer(lock, waiting, Outcome{true, {}, {}, {}, {}});
            return true;
        }
        const Outcome outcome = at_disk(lock, [&] { return writer_->commit(batch); });
        note(outcome);
        if (outcome.written) {
            queue_.done();
        } else {
            queue_.put_back(std::move(batch));
        }
        answer(lock, waiting, outcome);
        return outcome.written;
    }

    static void answer(Lock& lock, const std::vector<Waiting>& waiting, const Outcome& outcome) {
        lock.unlock();
        for (const Waiting& one : waiting) {
            one.committed(outcome.written && outcome.refused_rows.count(one.row) == 0);
        }
        lock.lock();
    }

    void note(const Outcome& outcome) {
        status_.writing = outcome.written;
        if (!outcome.written) {
            ++status_.failures;
            status_.complaint = outcome.complaint;
            return;
        }
        ++status_.commits;
        status_.rows_refused += outcome.refused_rows.size();
        refused_frames_ += outcome.refused_frames;
        if (!outcome.notice.empty()) status_.notice = outcome.notice;
    }

    /// Small pieces of upkeep until something more urgent comes.
    void tidy(Lock& lock) {
        const auto until = SteadyClock::now() + kUpkeepAtOnce;
        bool more = true;
        while (more && !stop_by_ && !urgent() && SteadyClock::now() < until) {
            const bool quiet = !busy_;
            std::string notice;
            more = at_disk(lock, [&] { return writer_->upkeep(quiet, notice); });
            if (!notice.empty()) status_.notice = notice;
        }
    }

    void look_at_disk(Lock& lock) {
        const auto [space, used] =
            at_disk(lock, [&] { return std::pair(free_mb(path_), writer_->used_mb()); });
        status_.free_mb = space;
        status_.used_mb = used;
        status_.disk_low = space >= 0 && space < kDiskLowMb;
    }

    const std::string path_;
    const RecordFound found_;
    const std::unique_ptr<BatchWriter> writer_;  ///< the recorder thread's alone

    mutable std::mutex mutex_;  ///< guards all that follows
    std::condition_variable wake_;
    RecordQueue queue_;
    RecorderStatus status_;
    std::uint64_t refused_frames_ = 0;
    std::uint64_t watch_ = 0;     ///< the open one; 0: none
    std::optional<Tick> newest_;  ///< of its frames
    bool busy_ = false;
    std::optional<SteadyClock::time_point> stop_by_;
    SteadyClock::time_point at_disk_since_{};
    SteadyClock::time_point tried_ = SteadyClock::now();

    std::thread thread_;
};

}  // namespace

Result<std::unique_ptr<Recorder>> Recorder::open(RecorderSettings settings) {
    auto opened = open_record(settings.path);
    if (!opened) return Error{opened.error()};
    RecordFound found = opened.value().found;
    auto writer = BatchWriter::make(std::move(opened.value()), settings);
    if (!writer) return Error{writer.error()};
    return std::unique_ptr<Recorder>(
        std::make_unique<ThreadRecorder>(std::move(settings), std::move(found), std::move(writer.value())));
}

}  // namespace drumwatch
