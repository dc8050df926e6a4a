// Reads one survey of a tank file, and the CSV file that its readings may
// stand in.
#pragma once

#include <slowdawn/tank/tank.hpp>

#include "tank/json_reader.hpp"
#include "tank/tank_names.hpp"

namespace slowdawn {

class SurveyReader {
 public:
  /// tank: its lights (empty where one could not be read) and its meter.
  /// names: of the file's lights and spots.
  /// files: where a file comes from that a survey names.
  SurveyReader(JsonReader& reader, Tank& tank, const TankNames& names, const FileSource& files)
      : reader_(reader), tank_(tank), names_(names), files_(files) {}

  /// Empty, with errors added, where it is not as it should be. The text of a
  /// file that it names is put into tank.attached.
  std::optional<Survey> read(const JsonNode& node);

 private:
  void read_changed(const JsonNode& node, Survey& survey);
  void read_unit(const JsonNode& node, Survey& survey);
  void read_outside(const JsonNode& node, Survey& survey);
  void check_lux(const JsonNode& node, const Survey& survey);
  void read_readings(const JsonNode& node, Survey& survey);
  void read_file(const JsonNode& node, Survey& survey);
  std::vector<double> read_repeats(const JsonNode& node, const Survey& survey);
  NumberRange range_of(const Survey& survey) const;

  JsonReader& reader_;
  Tank& tank_;
  const TankNames& names_;
  const FileSource& files_;
};

}  // namespace slowdawn
