#include "support/troubled_links.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <filesystem>

namespace drumwatch {
namespace {

constexpr std::array<const char*, TroubledLinks::kChannels> kNames{
    "bean", "exhaust", "inlet", "drum", "flue", "duct", "hood", "stack", "hall", "store"};
constexpr int kTimeout_ms = 600;
constexpr int kStreamTimeout_ms = 1000;
constexpr int kFirst_tenths = 1000;
constexpr int kApart_tenths = 100;
constexpr int kSwing_tenths = 50;
constexpr double kPeriod_s = 120;
constexpr std::uint8_t kFloatRegister = 40;

void put(Bytes& bytes, std::uint16_t word) {
    bytes.push_back(static_cast<std::uint8_t>(word >> 8U));
    bytes.push_back(static_cast<std::uint8_t>(word & 0xFFU));
}

std::string checked(const std::string& body) {
    unsigned sum = 0;
    for (const char byte : body) sum ^= static_cast<unsigned char>(byte);
    return fmt::format("{}*{:02X}\r\n", body, sum);
}

}  // namespace

TroubledLinks::TroubledLinks(double speed) : speed_(speed) {
    server_ = std::make_unique<RawServer>([this](RawServer::Connection& connection, const Bytes& request) {
        answer_network(connection, request);
    });
    plug_line();
    plug_stream();
}

TroubledLinks::~TroubledLinks() {
    ends_ = true;
    if (stream_.joinable()) stream_.join();
}

const char* TroubledLinks::name_of(std::size_t channel) { return kNames[channel]; }

bool TroubledLinks::is_own(std::size_t channel, double celsius) {
    const double low = (kFirst_tenths + static_cast<int>(channel) * kApart_tenths) / 10.0;
    return celsius >= low - 0.051 && celsius <= low + kSwing_tenths / 10.0 + 0.051;
}

/// Up and down within its band.
int TroubledLinks::tenths(std::size_t channel) const {
    const double s = std::chrono::duration<double>(Clock::now() - began_).count() * speed_;
    const double part = std::fmod(s + 7 * static_cast<double>(channel), kPeriod_s) / kPeriod_s;
    const double swing = part < 0.5 ? 2 * part : 2 - 2 * part;
    return kFirst_tenths + static_cast<int>(channel) * kApart_tenths +
           static_cast<int>(std::lround(swing * kSwing_tenths));
}

void TroubledLinks::pause(double simulated_ms) const {
    const auto until = Clock::now() + std::chrono::duration<double, std::milli>(simulated_ms / speed_);
    while (!ends_ && Clock::now() < until)
        std::this_thread::sleep_for(std::min<Clock::duration>(
            std::chrono::duration_cast<Clock::duration>(until - Clock::now()), std::chrono::milliseconds(5)));
}

std::string TroubledLinks::configuration() const {
    std::string channels;
    const auto add = [&](std::size_t i, const std::string& rest) {
        channels += fmt::format(R"({}{{"name":"{}","unit":"°C",{}}})", i == 0 ? "" : ",\n", kNames[i], rest);
    };
    for (std::size_t i = 0; i < 4; ++i)
        add(i,
            fmt::format(R"("bus":"line","scale":0.1,"modbus":{{"table":"input","address":{},"unit_id":{}}})",
                        i % 2, 1 + i / 2));
    add(4,
        fmt::format(R"("bus":"line","modbus":{{"table":"input","address":{},"unit_id":3,"type":"float32"}})",
                    kFloatRegister));
    for (std::size_t i = 5; i < 8; ++i)
        add(i,
            fmt::format(R"("bus":"network","scale":0.1,"modbus":{{"table":"input","address":{}}})", i - 5));
    for (std::size_t i = 8; i < 10; ++i)
        add(i, fmt::format(R"("bus":"stream","text":{{"field":{}}})", i - 7));
    return fmt::format(R"("buses":[
{{"name":"line","kind":"modbus_rtu","device":"{}","baud":19200,"timeout_ms":{}}},
{{"name":"network","kind":"modbus_tcp","host":"127.0.0.1","port":{},"timeout_ms":{}}},
{{"name":"stream","kind":"serial_text","device":"{}","delimiter":";","checksum":"xor","fields":2,"timeout_ms":{}}}],
"channels":[{}])",
                       folder_.file("line"), kTimeout_ms, server_->port(), kTimeout_ms,
                       folder_.file("stream"), kStreamTimeout_ms, channels);
}

void TroubledLinks::plug_line() {
    slave_ = std::make_unique<RtuSlave>(
        [this](RtuSlave::Line& line, const Bytes& request) { answer_line(line, request); });
    std::filesystem::create_symlink(slave_->path(), folder_.file("line"));
}

void TroubledLinks::line(Trouble trouble) {
    if (trouble == Trouble::unplugged) {
        std::filesystem::remove(folder_.file("line"));
        slave_.reset();
    } else if (!slave_) {
        plug_line();
    }
    line_trouble_ = trouble;
}

Bytes TroubledLinks::line_answer(const Bytes& request) const {
    const std::uint8_t unit = request[0];
    const unsigned address = request[3];
    const unsigned count = request[5];
    Bytes answer{unit, request[1], static_cast<std::uint8_t>(2 * count)};
    if (unit == 3) {
        const auto bits = std::bit_cast<std::uint32_t>(static_cast<float>(tenths(4)) / 10.0F);
        std::array<std::uint16_t, 2> words{static_cast<std::uint16_t>(bits >> 16U),
                                           static_cast<std::uint16_t>(bits & 0xFFFFU)};
        if (line_trouble_ == Trouble::swapped_words) std::swap(words[0], words[1]);
        for (unsigned i = 0; i < count; ++i) put(answer, i < 2 ? words[i] : std::uint16_t{0});
        return answer;
    }
    for (unsigned i = address; i < address + count; ++i) {
        const std::size_t channel = 2U * (unit - 1U) + i;
        put(answer, i < 2 ? static_cast<std::uint16_t>(tenths(channel)) : std::uint16_t{0});
    }
    return answer;
}

void TroubledLinks::answer_line(RtuSlave::Line& line, const Bytes& request) {
    const Trouble trouble = line_trouble_;
    if (trouble == Trouble::silent || (trouble == Trouble::dead_unit && request[0] == 2)) return;
    if (trouble == Trouble::exception) return line.send(rtu_refusal(request, 4));
    Bytes answer = with_crc(line_answer(request));
    switch (trouble) {
        case Trouble::late:
            line.pause(std::chrono::milliseconds(std::lround(1.5 * kTimeout_ms / speed_)));
            break;
        case Trouble::bad_crc:
            answer[4] ^= 0x10U;
            break;
        case Trouble::wrong_unit:
            answer = line_answer(request);
            answer[0] = static_cast<std::uint8_t>(answer[0] + 6U);
            answer = with_crc(answer);
            break;
        case Trouble::short_answer:
            answer.resize(answer.size() - 2);
            break;
        default:
            break;
    }
    line.send(answer);
}

void TroubledLinks::answer_network(RawServer::Connection& connection, const Bytes& request) {
    const Trouble trouble = network_trouble_;
    if (trouble == Trouble::unplugged) return connection.close();
    if (trouble == Trouble::silent) return;
    const unsigned address = request[9];
    const unsigned count = request[11];
    Bytes answer{request[0], request[1], 0,
                 0,          0,          static_cast<std::uint8_t>(3 + 2 * count),
                 request[6], request[7], static_cast<std::uint8_t>(2 * count)};
    for (unsigned i = address; i < address + count; ++i)
        put(answer, i < kOnNetwork ? static_cast<std::uint16_t>(tenths(5 + i)) : std::uint16_t{0});
    switch (trouble) {
        case Trouble::late:
            connection.pause(std::chrono::milliseconds(std::lround(1.5 * kTimeout_ms / speed_)));
            break;
        case Trouble::wrong_unit:
            answer[6] = 9;
            break;
        case Trouble::wrong_question:
            answer[1] = static_cast<std::uint8_t>(answer[1] + 3U);
            break;
        case Trouble::exception:
            answer = {request[0], request[1], 0,          0,
                      0,          3,          request[6], static_cast<std::uint8_t>(request[7] | 0x80U),
                      4};
            break;
        case Trouble::short_answer:
            answer.resize(answer.size() - 3);
            break;
        case Trouble::wrong_length:
            answer[5] = static_cast<std::uint8_t>(answer[5] - 2U);
            answer[8] = static_cast<std::uint8_t>(answer[8] - 2U);
            answer.resize(answer.size() - 2);
            break;
        default:
            break;
    }
    connection.send(answer);
}

void TroubledLinks::plug_stream() {
    terminal_ = std::make_unique<Terminal>();
    std::filesystem::create_symlink(terminal_->path(), folder_.file("stream"));
    ends_ = false;
    stream_ = std::thread([this] { stream_on(); });
}

void TroubledLinks::stream(Trouble trouble) {
    if (trouble == Trouble::unplugged) {
        std::filesystem::remove(folder_.file("stream"));
        ends_ = true;
        stream_.join();
        terminal_.reset();
    } else if (!terminal_) {
        plug_stream();
    }
    stream_trouble_ = trouble;
}

std::string TroubledLinks::stream_line() const {
    return fmt::format("{:.1f};{:.1f}", tenths(8) / 10.0, tenths(9) / 10.0);
}

/// Nobody may be listening, and then the terminal's room fills up.
void TroubledLinks::say(std::string_view text) {
    if (::write(terminal_->descriptor(), text.data(), text.size()) < 0) std::this_thread::yield();
}

void TroubledLinks::stream_on() {
    ::fcntl(terminal_->descriptor(), F_SETFL, O_NONBLOCK);
    while (!ends_) {
        switch (stream_trouble_.load()) {
            case Trouble::silent:
                break;
            case Trouble::bad_checksum: {
                std::string line = checked(stream_line());
                line[1] = line[1] == '9' ? '8' : '9';
                say(line);
                break;
            }
            case Trouble::field_count:  // what remains of a line that lost its head, with a checksum of its
                                        // own
                say(checked(fmt::format("{:.1f}", tenths(9) / 10.0)));
                break;
            case Trouble::no_numbers:
                say(checked("Err;Err"));
                break;
            case Trouble::junk:
                say(std::string_view("\x81\x02\xff\x7f\x11\x90", 6));
                break;
            case Trouble::overlong:
                say(std::string(600, '7') + "\r\n");
                break;
            case Trouble::drip:
                say("7");
                pause(750);
                break;
            default:
                say(checked(stream_line()));
        }
        pause(250);
    }
}

}  // namespace drumwatch
