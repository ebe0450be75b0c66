// Engine, books and a real record, as the core thread has them; what is posted waits until it is run.
#pragma once

#include <doctest/doctest.h>

#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <string>

#include "engine/engine.hpp"
#include "record/reader.hpp"
#include "service/bookkeeper.hpp"
#include "service/command_desk.hpp"
#include "support/targets.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {

class StillClock : public Clock {
  public:
    std::int64_t steady_ms() const override { return 0; }
    WallTime wall() const override { return {1'700'000'000'000}; }
};

/// Stands for the core thread's queue: other threads post, the test runs.
class Inbox {
  public:
    CommandDesk::Post poster() {
        return [this](std::function<void()> work) {
            const std::lock_guard lock(mutex_);
            waiting_.push_back(std::move(work));
            arrived_.notify_all();
        };
    }
    void run_one() {
        std::unique_lock lock(mutex_);
        REQUIRE(arrived_.wait_for(lock, std::chrono::seconds(60), [this] { return !waiting_.empty(); }));
        const auto work = std::move(waiting_.front());
        waiting_.pop_front();
        lock.unlock();
        work();
    }

  private:
    std::mutex mutex_;
    std::condition_variable arrived_;
    std::deque<std::function<void()>> waiting_;
};

class Desk {
  public:
    TempDir folder;
    StillClock clock;
    Inbox inbox;
    std::unique_ptr<Recorder> recorder;
    Engine engine;
    Bookkeeper books;
    CommandDesk desk;

    Desk()
        : recorder(open(folder.file("record.sqlite"))),
          engine(begin()),
          books(*recorder, "Saltmarsh Mill, station 2", clock),
          desk(engine, books, 250, inbox.poster()) {
        books.begin(begin());
        tick();
    }
    static std::unique_ptr<Recorder> open(const std::string& path) {
        auto opened = Recorder::open({path});
        REQUIRE_MESSAGE(opened.ok(), (opened.ok() ? "" : opened.error()));
        return std::move(opened.value());
    }
    static Begin begin() {
        Begin begin;
        Channel bean;
        bean.name = "bean";
        bean.role = Role::bean;
        begin.boot = "first";
        begin.boot_ms = 500'000;
        begin.settings.channels = {bean};
        begin.target = share(straight_target());
        return begin;
    }
    void tick() {
        Frame frame;
        frame.tick = next_;
        frame.channels = 1;
        frame.samples[0] = {200'000, Quality::good, true};
        const Snapshot& snapshot = engine.step(frame);
        books.tick(frame, snapshot, engine.take_events());
        next_ = next_ + 250;
    }
    Command command(CommandKind kind, Milestone milestone = Milestone::charge) const {
        Command command;
        command.kind = kind;
        command.milestone = milestone;
        command.at = engine.snapshot().tick;
        return command;
    }
    /// Closes the record and reads it.
    std::unique_ptr<RecordReader> closed() {
        books.end(engine.snapshot());
        recorder.reset();
        auto reader = RecordReader::open(folder.file("record.sqlite"));
        REQUIRE_MESSAGE(reader.ok(), (reader.ok() ? "" : reader.error()));
        return std::move(reader.value());
    }

  private:
    Tick next_{0};
};

}  // namespace drumwatch
