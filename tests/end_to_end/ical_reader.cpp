// Reads a calendar through libical and prints what it found, as JSON: how many
// errors, and every event with its dates, texts and alarms.
//
//   ical_reader < plan.ics
#include <libical/ical.h>

#include <iostream>
#include <iterator>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

namespace {

using Json = nlohmann::ordered_json;

struct FreeComponent {
  void operator()(icalcomponent* component) const { icalcomponent_free(component); }
};

std::string text_or_empty(const char* text) { return text == nullptr ? "" : text; }

/// "2026-12-01"; a time of day would be shown after it.
std::string date_text(const icaltimetype& time) {
  std::string text = icaltime_as_ical_string(time);
  if (text.size() < 8) return text;
  return text.substr(0, 4) + "-" + text.substr(4, 2) + "-" + text.substr(6);
}

Json alarm_json(icalcomponent* alarm) {
  Json json = Json::object();
  icalproperty* action = icalcomponent_get_first_property(alarm, ICAL_ACTION_PROPERTY);
  icalproperty* trigger = icalcomponent_get_first_property(alarm, ICAL_TRIGGER_PROPERTY);
  json["is_display"] = action != nullptr && icalproperty_get_action(action) == ICAL_ACTION_DISPLAY;
  json["seconds"] = trigger == nullptr
                        ? Json(nullptr)
                        : Json(icaldurationtype_as_int(icalproperty_get_trigger(trigger).duration));
  json["description"] = text_or_empty(icalcomponent_get_description(alarm));
  return json;
}

Json event_json(icalcomponent* event) {
  Json json{{"uid", text_or_empty(icalcomponent_get_uid(event))},
            {"start", date_text(icalcomponent_get_dtstart(event))},
            {"end", date_text(icalcomponent_get_dtend(event))},
            {"stamp", text_or_empty(icaltime_as_ical_string(icalcomponent_get_dtstamp(event)))},
            {"sequence", icalcomponent_get_sequence(event)},
            {"is_cancelled", icalcomponent_get_status(event) == ICAL_STATUS_CANCELLED},
            {"summary", text_or_empty(icalcomponent_get_summary(event))},
            {"description", text_or_empty(icalcomponent_get_description(event))},
            {"alarms", Json::array()}};
  for (icalcomponent* alarm = icalcomponent_get_first_component(event, ICAL_VALARM_COMPONENT);
       alarm != nullptr; alarm = icalcomponent_get_next_component(event, ICAL_VALARM_COMPONENT)) {
    json["alarms"].push_back(alarm_json(alarm));
  }
  return json;
}

}  // namespace

int main() {
  const std::string text{std::istreambuf_iterator<char>(std::cin), {}};
  const std::unique_ptr<icalcomponent, FreeComponent> calendar{
      icalparser_parse_string(text.c_str())};
  if (!calendar) {
    std::cerr << "ical_reader: this is no calendar\n";
    return 1;
  }
  Json json{{"errors", icalcomponent_count_errors(calendar.get())},
            {"keeps_restrictions", icalrestriction_check(calendar.get()) != 0},
            {"events", Json::array()}};
  for (icalcomponent* event =
           icalcomponent_get_first_component(calendar.get(), ICAL_VEVENT_COMPONENT);
       event != nullptr;
       event = icalcomponent_get_next_component(calendar.get(), ICAL_VEVENT_COMPONENT)) {
    json["events"].push_back(event_json(event));
  }
  std::cout << json.dump(1) << "\n";
}
