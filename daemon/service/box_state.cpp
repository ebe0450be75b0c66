#include "service/box_state.hpp"

#include <utility>

#include "service/station_facts.hpp"

namespace drumwatch {

std::shared_ptr<BoxState> box_state(WallTime utc, const RecorderStatus& record,
                                    const std::string& backup_complaint, const BusRoom& buses,
                                    const SounderRoom& sounders) {
    auto box = std::make_shared<BoxState>();
    box->utc = utc;
    box->record_writing = record.writing;
    box->record_text = record_sentence(record);
    if (!backup_complaint.empty()) box->record_text += "; " + backup_complaint;
    box->links = buses.complaints();
    for (std::string& sentence : sounders.complaints()) box->links.push_back(std::move(sentence));
    box->sounders = sounders.states();
    return box;
}

RecorderSettings recorder_settings(const RecordConfig& record) {
    RecorderSettings settings;
    settings.path = record.path;
    settings.raw_months = record.raw_months;
    settings.budget_mb = record.budget_mb;
    return settings;
}

}  // namespace drumwatch
