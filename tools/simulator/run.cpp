#include "simulator/run.hpp"

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <memory>

#include "simulator/by_hand.hpp"
#include "simulator/faces/modbus_server.hpp"
#include "simulator/faces/serial_face.hpp"
#include "simulator/floor/simulation.hpp"
#include "simulator/floor/truth_log.hpp"
#include "simulator/target/target.hpp"

namespace drumwatch::simulator {
namespace {

using SteadyClock = std::chrono::steady_clock;

volatile std::sig_atomic_t stop_asked = 0;
void ask_stop(int) { stop_asked = 1; }

void print_line(const std::string& line) {
    std::cout << line << std::endl;  // flushed: who started us waits for it
}

/// Blocks the stop signals but for the time inside ppoll, so that none is missed.
class StopSignals {
  public:
    StopSignals() {
        struct sigaction action {};
        action.sa_handler = ask_stop;
        sigset_t blocked;
        sigemptyset(&blocked);
        for (const int number : {SIGINT, SIGTERM, SIGHUP}) {
            sigaction(number, &action, nullptr);
            sigaddset(&blocked, number);
        }
        std::signal(SIGPIPE, SIG_IGN);
        sigprocmask(SIG_BLOCK, &blocked, &while_waiting_);
        for (const int number : {SIGINT, SIGTERM, SIGHUP}) sigdelset(&while_waiting_, number);
    }
    void wait(std::vector<pollfd>& descriptors, int longest_ms) const {
        timespec time{longest_ms / 1000, (longest_ms % 1000) * 1000000L};
        if (ppoll(descriptors.data(), descriptors.size(), &time, &while_waiting_) < 0) {
            for (pollfd& descriptor : descriptors) descriptor.revents = 0;
        }
    }

  private:
    sigset_t while_waiting_{};
};

/// The running simulator: floor, operator, faces, and one of the two kinds of time.
class Runner {
  public:
    explicit Runner(const Options& options)
        : options_(options), simulation_(make_floor(), make_operator()), server_(make_server()) {
        if (options_.serial) {
            serial_ = std::make_unique<SerialFace>(options_.serial_link,
                                                   options_.stepped_ms.value_or(options_.serial_period_ms));
        }
    }

    void loop() {
        print_line("modbus: " + options_.host + ":" + std::to_string(server_.port()));
        if (serial_) print_line("serial: " + serial_->path());
        if (by_hand_) by_hand_->greet();
        began_ = SteadyClock::now();
        if (serial_) serial_->follow(simulation_.floor());
        while (stop_asked == 0 && !finished()) turn();
        if (by_hand_) by_hand_->farewell(simulation_.floor());
        simulation_.floor().note("end", {{"heartbeat_changes", server_.heartbeat_changes()}});
    }

  private:
    static constexpr int kLongestWait_ms = 10;

    std::unique_ptr<Floor> make_floor() {
        if (!options_.truth_file.empty()) truth_ = std::make_unique<TruthLog>(options_.truth_file);
        Floor::Options floor;
        floor.seed = options_.seed;
        floor.quiet_probes = options_.quiet_probes;
        floor.faults = FaultPlan(options_.faults);
        return std::make_unique<Floor>(options_.machine, floor, [this](const TruthEvent& event) {
            if (truth_) truth_->write(event);
        });
    }
    std::unique_ptr<Operator> make_operator() {
        if (!options_.by_hand) return std::make_unique<RoutineOperator>(options_.routine);
        by_hand_ = std::make_unique<ByHand>(
            options_.machine, options_.target ? *options_.target : own_target(options_.machine));
        auto trainee = std::make_unique<Trainee>(options_.machine);
        trainee_ = trainee.get();
        return trainee;
    }
    ModbusServer make_server() {
        return {options_.host,
                options_.port,
                simulation_.floor(),
                {[this] { catch_up(); }, [this] { step_once(); }}};
    }
    void turn() {
        std::vector<pollfd> descriptors;
        server_.wait_for(descriptors);
        if (by_hand_) by_hand_->wait_for(descriptors);
        const int due_ms = server_.due_in_ms();
        signals_.wait(descriptors, due_ms < 0 ? kLongestWait_ms : std::min(due_ms, kLongestWait_ms));
        catch_up();
        server_.serve(descriptors);
        if (by_hand_) by_hand_->serve(descriptors, simulation_.floor(), *trainee_);
    }
    bool finished() const {
        if (by_hand_) return by_hand_->quit();
        return options_.exit_after_batches && simulation_.finished();
    }

    void advance(std::int64_t sim_ms) {
        simulation_.advance_to(sim_ms, [this](const Floor& floor) {
            if (serial_) serial_->follow(floor);
        });
    }
    void catch_up() {
        if (options_.stepped_ms) return;
        const std::chrono::duration<double, std::milli> real = SteadyClock::now() - began_;
        advance(static_cast<std::int64_t>(real.count() * options_.speed));
    }
    void step_once() {
        if (options_.stepped_ms) advance(simulation_.floor().sim_ms() + *options_.stepped_ms);
    }

    Options options_;
    StopSignals signals_;
    std::unique_ptr<TruthLog> truth_;
    std::unique_ptr<ByHand> by_hand_;
    Trainee* trainee_ = nullptr;  ///< owned by simulation_
    Simulation simulation_;
    ModbusServer server_;
    std::unique_ptr<SerialFace> serial_;
    SteadyClock::time_point began_;
};

int export_target(const Options& options) {
    const std::string text = target_text(own_target(options.machine), options.approved_by);
    std::ofstream out(options.export_target_file);
    out << text << std::flush;
    if (!out) {
        std::fprintf(stderr, "drumwatch-sim: cannot write %s\n", options.export_target_file.c_str());
        return 1;
    }
    print_line("target: " + options.export_target_file);
    return 0;
}

}  // namespace

int run(const Options& options) {
    if (!options.export_target_file.empty()) return export_target(options);
    Runner runner(options);
    runner.loop();
    return 0;
}

}  // namespace drumwatch::simulator
