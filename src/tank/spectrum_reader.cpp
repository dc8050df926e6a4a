#include "tank/spectrum_reader.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

namespace slowdawn {
namespace {

constexpr double highest_spectral_value = 1e12;

std::string fixed_text(double value, int digits) {
  std::array<char, 32> text{};
  const auto [end, error] = std::to_chars(text.data(), text.data() + text.size(), value,
                                          std::chars_format::fixed, digits);
  return error == std::errc{} ? std::string{text.data(), end} : number_text(value);
}

/// Whether a survey in lux had the light on.
bool is_read_in_lux(const Tank& tank, std::size_t light) {
  return std::any_of(tank.surveys.begin(), tank.surveys.end(), [&](const Survey& survey) {
    return survey.unit == ReadingUnit::lux && survey.dials[light].percent() > 0.0;
  });
}

}  // namespace

std::optional<CsvTable> read_named_csv(JsonReader& reader, const FileSource& files,
                                       const JsonNode& node) {
  const auto name = reader.read_text(node, "the name of a CSV file");
  if (!name) return std::nullopt;
  auto text = files(*name);
  if (!text) {
    const Finding& why = text.error().findings.front();
    reader.error_of_access(node, "\"" + *name + "\" cannot be read: " + why.what, why.hint);
    return std::nullopt;
  }
  auto table = parse_csv(*name, *text);
  if (table) return std::move(*table);
  reader.error_elsewhere(node, table.error().findings);
  return std::nullopt;
}

std::optional<SpectralTable> SpectrumReader::read_table(const JsonNode& node,
                                                        const std::string& value) {
  const auto table = read_named_csv(reader_, files_, node);
  if (!table) return std::nullopt;
  const std::vector<std::string> wavelength_names{"wavelength_nm"};
  const std::vector<std::string> value_names{value};
  const auto wavelength_column = table->find_column(wavelength_names);
  const auto value_column = table->find_column(value_names);
  if (!wavelength_column) reader_.error_elsewhere(node, {wavelength_column.error()});
  if (!value_column) reader_.error_elsewhere(node, {value_column.error()});
  if (!wavelength_column || !value_column) return std::nullopt;

  std::vector<SpectralPoint> points;
  bool is_good = true;
  for (const CsvRecord& record : table->records()) {
    const auto nm =
        table->number(record, *wavelength_column, 200.0, 3000.0, "wavelengths are in nm");
    const auto height =
        table->number(record, *value_column, 0.0, highest_spectral_value,
                      "write 0 where noise makes a spectrometer show less than nothing");
    if (!nm) reader_.error_elsewhere(node, {nm.error()});
    if (!height) reader_.error_elsewhere(node, {height.error()});
    is_good = is_good && nm && height;
    if (nm && height) points.push_back({Wavelength::nm(*nm), *height});
  }
  if (!is_good) return std::nullopt;
  auto made = SpectralTable::through(std::move(points));
  if (made) return std::move(*made);
  const auto& records = table->records();
  const CsvRecord& at = records.empty() ? table->header() : records[made.error().point];
  reader_.error_elsewhere(
      node, {{table->place(at, *wavelength_column), made.error().what, made.error().hint}});
  return std::nullopt;
}

void SpectrumReader::read_meter(const JsonNode& node) {
  const auto response_node = node.find("response");
  const auto light_node = node.find("calibrated_under");
  if (light_node && !response_node) {
    reader_.error(*light_node, "\"calibrated_under\" says nothing without a \"response\"",
                  "give the meter's \"response\" as well, or leave it out");
  }
  if (!response_node) return;
  auto response = read_table(*response_node, "response");
  auto light = light_node ? read_table(*light_node, "power") : std::nullopt;
  if (!response || (light_node && !light)) return;
  MeterResponse made{{std::move(*response)},
                     light ? Spectrum{std::move(*light)} : daylight_spectrum()};
  const auto tried =
      compute_spectral_error(made.signal, made.calibrated_under, made.calibrated_under);
  if (!tried) {
    reader_.error(*response_node, tried.error().what, tried.error().hint);
    return;
  }
  tank_.meter.response = std::move(made);
}

void SpectrumReader::read_light(const JsonNode& node, TankLight& light) {
  const auto found = node.find("spectrum");
  if (!found) return;
  auto table = read_table(*found, "power");
  if (!table) return;
  LightSpectrum made{{std::move(*table)}, {}, {}};
  made.figures = compute_spectrum_figures(made.spectrum);
  if (const auto& meter = tank_.meter.response) {
    const auto error =
        compute_spectral_error(meter->signal, made.spectrum, meter->calibrated_under);
    if (error) made.meter_error = *error;
  }
  light.spectrum = std::move(made);
}

std::vector<Fault> spectral_doubts(const Tank& tank, std::size_t light) {
  const TankLight& of = tank.lights[light];
  std::vector<Fault> doubts;
  if (!of.spectrum) return doubts;
  if (!of.lux_per_ppfd && is_read_in_lux(tank, light)) {
    doubts.push_back(
        {"lux of \"" + of.name + "\" become PPFD by its spectrum, " +
             fixed_text(of.spectrum->figures.lux_per_ppfd.lux_per_umol(), 1) +
             " lux for one umol m-2 s-1",
         "a lux meter that matches the eye poorly errs, and most under blue light: compare it with "
         "a quantum sensor once, and give \"lux_per_ppfd\" then"});
  }
  const double error = of.spectrum->meter_error.value_or(0.0);
  if (exceeds(std::abs(error), spectral_error_worth_a_warning)) {
    doubts.push_back({"the meter shows " + fixed_text(100.0 * std::abs(error), 0) + " % too " +
                          (error > 0.0 ? "much" : "little") + " under \"" + of.name + "\"",
                      "no reading is corrected for it: a ratio between this light and another "
                      "inherits the difference of their errors"});
  }
  return doubts;
}

}  // namespace slowdawn
