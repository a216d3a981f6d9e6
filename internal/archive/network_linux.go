package archive

import "golang.org/x/sys/unix"

// networkFileSystem names the network file system that a folder is on; "" if it is on none that can be told.
func networkFileSystem(dir string) string {
	var s unix.Statfs_t
	if unix.Statfs(dir, &s) != nil {
		return ""
	}
	switch uint32(s.Type) {
	case unix.NFS_SUPER_MAGIC:
		return "NFS"
	case unix.SMB_SUPER_MAGIC, unix.SMB2_SUPER_MAGIC, unix.CIFS_SUPER_MAGIC:
		return "SMB"
	case unix.AFS_SUPER_MAGIC, unix.AFS_FS_MAGIC:
		return "AFS"
	case unix.CEPH_SUPER_MAGIC:
		return "Ceph"
	}
	return ""
}
