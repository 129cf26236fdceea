package localchat

import (
	"bytes"
	"fmt"
	"image"
	_ "image/gif" // the picture kinds a photo may come in
	_ "image/jpeg"
	_ "image/png"
	"mime"
	"net/http"
	"path"
	"strings"
)

const maxPhoto = 10 << 20 // largest photo a bot may send, bytes

type storedFile struct {
	id, unique, path, name, mime string
	kind                         string // photo, document, voice, sticker
	data                         []byte
	width, height                int
}

// fileStore keeps uploads in memory, the oldest giving way.
type fileStore struct {
	room  int // bytes
	used  int
	count int
	list  []*storedFile
	byID  map[string]*storedFile
}

var folders = map[string]string{"photo": "photos", "document": "documents", "voice": "voice", "video": "videos", "sticker": "stickers"}

func (fs *fileStore) add(f storedFile) *storedFile {
	fs.count++
	f.unique = fmt.Sprintf("AQAD%08d", fs.count)
	f.id = fmt.Sprintf("local-%s-%08d", f.kind, fs.count)
	ext := strings.ToLower(path.Ext(f.name))
	if len(ext) > 8 || strings.ContainsAny(ext, "/\\ %?#") {
		ext = ""
	}
	f.path = fmt.Sprintf("%s/file_%d%s", folders[f.kind], fs.count, ext)
	if f.mime == "" {
		f.mime = mime.TypeByExtension(ext)
	}
	if f.mime == "" {
		f.mime = "application/octet-stream"
	}
	f.mime, _, _ = strings.Cut(f.mime, ";")
	if fs.byID == nil {
		fs.byID = map[string]*storedFile{}
	}
	fs.list = append(fs.list, &f)
	fs.byID[f.id] = &f
	fs.used += len(f.data)
	for fs.used > fs.room && len(fs.list) > 1 {
		old := fs.list[0]
		fs.list = fs.list[1:]
		fs.used -= len(old.data)
		delete(fs.byID, old.id)
	}
	return &f
}

// fileOf finds the file a send method was given: uploaded under the field's
// own name, under an attach:// name, or known by its id.
func (s *Server) fileOf(c *call, kind string) (*storedFile, *failure) {
	up, uploaded := c.files[kind]
	ref := c.str(kind)
	if name, ok := strings.CutPrefix(ref, "attach://"); ok && !uploaded {
		if up, uploaded = c.files[name]; !uploaded {
			return nil, badRequest("there is no %s in the request", kind)
		}
	}
	switch {
	case uploaded && len(up.data) == 0:
		return nil, badRequest("file must be non-empty")
	case uploaded && kind == "photo":
		return s.addPhoto(up.name, up.data)
	case uploaded:
		return s.files.add(storedFile{kind: kind, name: path.Base(up.name), data: up.data}), nil
	case ref == "":
		return nil, badRequest("there is no %s in the request", kind)
	case strings.HasPrefix(ref, "http://") || strings.HasPrefix(ref, "https://"):
		return nil, badRequest("failed to get HTTP URL content")
	}
	f, ok := s.files.byID[ref]
	if !ok {
		return nil, badRequest("wrong file identifier/HTTP URL specified")
	}
	if f.kind != kind {
		return nil, badRequest("can't use file of type %s as %s", f.kind, kind)
	}
	return f, nil
}

func (s *Server) addPhoto(name string, data []byte) (*storedFile, *failure) {
	if len(data) > maxPhoto {
		return nil, badRequest("file is too big")
	}
	cfg, format, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, badRequest("IMAGE_PROCESS_FAILED")
	}
	long, short := max(cfg.Width, cfg.Height), min(cfg.Width, cfg.Height)
	if short < 1 || long+short > 10000 || long > 20*short {
		return nil, badRequest("PHOTO_INVALID_DIMENSIONS")
	}
	return s.files.add(storedFile{kind: "photo", name: "photo." + format, mime: "image/" + format, data: data, width: cfg.Width, height: cfg.Height}), nil
}

func (f *storedFile) photo() []PhotoSize {
	return []PhotoSize{{FileID: f.id, FileUniqueID: f.unique, Width: f.width, Height: f.height, FileSize: len(f.data)}}
}

func (f *storedFile) document() *Document {
	return &Document{FileID: f.id, FileUniqueID: f.unique, FileName: f.name, MimeType: f.mime, FileSize: len(f.data)}
}

func (s *Server) getFile(c *call) (any, *failure) {
	f, ok := s.files.byID[c.str("file_id")]
	if !ok {
		return nil, badRequest("invalid file_id")
	}
	return struct {
		FileID       string `json:"file_id"`
		FileUniqueID string `json:"file_unique_id"`
		FileSize     int    `json:"file_size"`
		FilePath     string `json:"file_path"`
	}{f.id, f.unique, len(f.data), f.path}, nil
}

// File is the name and content of a file that a message carries.
func (s *Server) File(fileID string) (name string, data []byte, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f, ok := s.files.byID[fileID]
	if !ok {
		return "", nil, false
	}
	return f.name, bytes.Clone(f.data), true
}

// serveFile answers "<token>/<file path>".
func (s *Server) serveFile(w http.ResponseWriter, r *http.Request, rest string) {
	token, name, _ := strings.Cut(rest, "/")
	if token != s.token {
		writeJSON(w, http.StatusUnauthorized, failUnauthorized.response())
		return
	}
	s.mu.Lock()
	var hit *storedFile
	for _, f := range s.files.list {
		if f.path == name {
			hit = f
		}
	}
	s.mu.Unlock()
	if hit == nil || r.Method != http.MethodGet {
		writeJSON(w, http.StatusNotFound, failNotFound.response())
		return
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	_, _ = w.Write(hit.data)
}
