# Starts the systemd of the root $1 in namespaces of its own, in the control group $2.
set -eu
echo $$ >"$2/cgroup.procs"
exec unshare --mount --pid --uts --ipc --cgroup --fork sh -euc '
root=$1
mount --make-rprivate /
mount --bind "$root" "$root"
mount -t proc proc "$root/proc"
mount -t sysfs -o ro sysfs "$root/sys"
mount -t cgroup2 cgroup2 "$root/sys/fs/cgroup"
mount -t tmpfs tmpfs "$root/run"
mount -t tmpfs -o mode=755 dev "$root/dev"
for d in null zero full random urandom tty; do
	touch "$root/dev/$d"
	mount --bind "/dev/$d" "$root/dev/$d"
done
mkdir "$root/dev/pts" "$root/dev/shm"
mount -t tmpfs tmpfs "$root/dev/shm"
mount -t devpts -o newinstance,ptmxmode=666 devpts "$root/dev/pts"
ln -s pts/ptmx "$root/dev/ptmx"
# A changed root alone would not do: units get mount namespaces of their own.
mkdir "$root/was"
cd "$root"
pivot_root . was
umount -l /was
exec env -i container=other PATH=/usr/sbin:/usr/bin:/sbin:/bin /lib/systemd/systemd --show-status=no
' sh "$1" </dev/null
