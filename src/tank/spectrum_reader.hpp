// Reads the spectra that a tank file names: those of lights, and of its meter.
#pragma once

#include <slowdawn/tank/csv_table.hpp>
#include <slowdawn/tank/tank.hpp>
#include <vector>

#include "tank/json_reader.hpp"

namespace slowdawn {

/// The table of a CSV file that a node names; empty, with errors added, where it
/// cannot be had.
std::optional<CsvTable> read_named_csv(JsonReader& reader, const FileSource& files,
                                       const JsonNode& node);

class SpectrumReader {
 public:
  SpectrumReader(JsonReader& reader, Tank& tank, const FileSource& files)
      : reader_(reader), tank_(tank), files_(files) {}

  /// What the meter answers to, into tank.meter.
  void read_meter(const JsonNode& node);
  /// The spectrum of a light; the meter must have been read.
  void read_light(const JsonNode& node, TankLight& light);

 private:
  /// value: the name of the column beside that of the wavelengths.
  std::optional<SpectralTable> read_table(const JsonNode& node, const std::string& value);

  JsonReader& reader_;
  Tank& tank_;
  const FileSource& files_;
};

/// What is doubtful about a light's readings because of its spectrum, each as a
/// clause and what to do; none where it has no spectrum.
std::vector<Fault> spectral_doubts(const Tank& tank, std::size_t light);

}  // namespace slowdawn
