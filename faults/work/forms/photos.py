"""The form that adds a photo to a job."""

from sites.register.forms.photos import PhotoForm


class JobPhotoForm(PhotoForm):
    """A photo of a visit: nearly always taken there and then, so the camera comes first."""

    field_order = ["camera", "photo", "caption", "keep_position"]
