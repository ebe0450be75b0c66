// A first configuration, with comments, from the few answers that matter. Pure: the text is checked by
// parse_config before anybody keeps it.
#pragma once

#include <cstdint>
#include <string>

namespace drumwatch {

/// Where a value stands: a Modbus input register, counted from 0, or a field of a text line, counted from 1.
/// Negative: not there.
struct FirstAnswers {
    std::string station = "Station 1";
    std::string machine;  ///< in the site's words; may be empty
    std::string host;     ///< Modbus TCP; empty: the serial device
    int port = 502;
    int unit_id = 1;
    std::string device;  ///< serial text stream
    int baud = 115200;
    std::string unit = "°C";  ///< or "°F": what the instrument sends
    double scale = 0.1;       ///< Modbus: degrees a count
    int bean = 0;
    int exhaust = -1;
    int burner = -1;   ///< Modbus: holding register
    int airflow = -1;  ///< Modbus: holding register
    double limit_c = 240;
    std::string limiter_place;  ///< empty: none stated
    double limiter_c = 0;
    std::string record = "record.sqlite";
    std::string page_host = "127.0.0.1";
    int page_port = 8420;
    /// The items of "buses" and "channels" ready-made (scan/scan_result.hpp); empty: from the answers above.
    std::string found_buses{};
    std::string found_channels{};
};

std::string first_config(const FirstAnswers& answers);

}  // namespace drumwatch
