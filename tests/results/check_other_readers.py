"""check_other_readers.py WRITE_MADE_UP_RUN: a result file opens in h5py, netCDF4, xarray and h5dump with all its names,
units and axes. Each reader runs in a process of its own, because each brings its own HDF5 library."""
import pathlib
import subprocess
import sys
import tempfile

H5PY = """
import sys, h5py, numpy
file = h5py.File(sys.argv[1])
assert file.attrs['format_version'] == 2 and file.attrs['file_type'] == 'brinecast results', dict(file.attrs)
assert 'CF-' in file.attrs['Conventions'] and 'früh' in file.attrs['scenario']
count = 0
for name, data in file.items():
    text = h5py.check_string_dtype(data.dtype) is not None
    assert 'long_name' in data.attrs, name
    assert text or 'units' in data.attrs, name
    if h5py.h5ds.is_scale(data.id):
        assert data.shape[0] > 0 and data.ndim == 1, name
    else:
        for axis, dim in enumerate(data.dims):
            assert len(dim) == 1, (name, axis)
            assert dim[0].shape[0] == data.shape[axis], (name, axis)
    assert text or (data.compression == 'gzip' and data.shuffle and data.fletcher32 and data.chunks), name
    data[()]
    count += 1
for name, first in (('visit_tasks', 'test'), ('visit_reasons', ''), ('visit_rules', 'readings_steady'),
                    ('visit_shortages', 'no_spare_cell')):
    bits = file[name].attrs
    assert list(bits['flag_masks']) == [2**i for i in range(len(bits['flag_masks']))], name
    assert bits['flag_masks'].dtype == file[name].dtype, name
    meanings = bits['flag_meanings'].split(' ')
    assert len(meanings) == len(set(meanings)) == len(bits['flag_masks']) and meanings[0].startswith(first), (name, meanings)
assert file['round_route_points'].attrs['sample_dimension'] == 'route_point'
assert file['round_route_points'][()].sum() == file['route_longitude'].shape[0] == file['route_point'].shape[0]
assert file['visit'].maxshape == (None,)
assert file['policy'].asstr()[2] == 'fortnightly' and file['pool'].asstr()[0] == 'Gull Läne 1'
assert numpy.all(file['task_complete'][()] == 1)
print(count, 'variables')
"""
NETCDF4 = """
import sys, netCDF4
data = netCDF4.Dataset(sys.argv[1])
assert data.dimensions['visit'].isunlimited() and not data.dimensions['pool'].isunlimited()
assert list(data.variables)[0] == 'policy'
assert data['free_chlorine_in_range'].dimensions == ('policy', 'replicate', 'pool')
assert data['day_salt'].dimensions == ('policy', 'replicate', 'quantile', 'day')
assert data['pool'][0] == 'Gull Läne 1'
for name, variable in data.variables.items():
    assert all(not axis.startswith('phony') for axis in variable.dimensions), name
    variable[:]
day = netCDF4.num2date(data['day'][0], data['day'].units)
assert (day.year, day.month, day.day) == (2031, 3, 20), day
"""
XARRAY = """
import sys, numpy, xarray
data = xarray.open_dataset(sys.argv[1], engine='netcdf4')
for axis in ('policy', 'replicate', 'pool', 'month', 'technician', 'day', 'quantile', 'visit'):
    assert axis in data.dims and axis in data.indexes, (axis, data)
assert data.salt_added.attrs['units'] == 'kg'
assert data.day.values[0] == numpy.datetime64('2031-03-20') and data.month.values[1] == numpy.datetime64('2031-04-01')
weekly = data.cost.sel(policy='weekly').mean('replicate')
assert weekly.dims == ('pool',) and numpy.isfinite(weekly.values).all()
assert data.salt_added.sel(policy='weekly').sum('pool').sizes['replicate'] == 6
"""


def main():
    writer = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "season.h5"
        subprocess.run([writer, path], check=True, stdout=subprocess.DEVNULL)
        for name, script in (("h5py", H5PY), ("netCDF4", NETCDF4), ("xarray", XARRAY)):
            subprocess.run([sys.executable, "-c", script, path], check=True)
            print(name, "reads it")
        dump = subprocess.run(["h5dump", "-d", "/book_error", path], check=True, capture_output=True, text=True).stdout
        assert "H5T_IEEE_F64LE" in dump and "( 3, 6, 9 )" in dump, dump
        print("h5dump reads it")


main()
